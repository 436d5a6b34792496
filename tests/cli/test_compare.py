"""`walkgrade checklist compare`."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

Command = Callable[..., Any]
OLD, NEW = "school-bus-air-classic", "school-bus-air-california"


def test_a_state_against_its_base(walkgrade: Command) -> None:
    done = walkgrade("checklist", "compare", OLD, NEW)
    assert done.status == 0
    assert "Other number (7)" in done.out
    assert "low-air warning between 55 and 75 psi" in done.out
    assert "--all shows them" in done.out
    assert "Other source" not in done.out
    assert "Other source" in walkgrade("checklist", "compare", OLD, NEW, "--all").out


def test_for_one_vehicle(walkgrade: Command) -> None:
    done = walkgrade("checklist", "compare", OLD, NEW, "--profile", "yard-bus-lift")
    assert "Other number (3)" in done.out, "no slack adjusters there"


def test_nothing_changes(walkgrade: Command) -> None:
    assert "Nothing changes for trainees." in walkgrade("checklist", "compare", OLD, OLD).out


def test_json(walkgrade: Command) -> None:
    data = json.loads(walkgrade("checklist", "compare", OLD, NEW, "--json").out)
    assert data["new"]["id"] == NEW
    assert len(data["changes"]) > 7
