"""What the checklist tests share: the shipped files, loaded once."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist, VehicleProfile

sys.path.insert(0, str(Path(__file__).parent))

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def classic() -> Checklist:
    return find_checklist("school-bus-air-classic")


@pytest.fixture(scope="session")
def modern() -> Checklist:
    return find_checklist("school-bus-air-modern")


@pytest.fixture(scope="session")
def air_bus() -> VehicleProfile:
    return find_profile("yard-bus-air")


@pytest.fixture(scope="session")
def lift_bus() -> VehicleProfile:
    return find_profile("yard-bus-lift")
