"""What the matching tests share: the real checklist fitted to the yard bus."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist

HERE = Path(__file__).resolve().parent
for folder in (HERE, HERE.parents[1]):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))


@pytest.fixture(scope="session")
def bus() -> Checklist:
    """The classic test of a school bus, as it applies to the yard bus with air brakes."""
    return applicable(find_checklist("school-bus-air-classic"), find_profile("yard-bus-air"))
