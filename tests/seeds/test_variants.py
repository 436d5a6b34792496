"""Made lines: the same seed the same lines, labels that the checklist knows, nothing for others."""

from __future__ import annotations

from itertools import islice

import pytest

from seeds.variants import free_of_parts, runs
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist


@pytest.fixture(scope="module")
def bus() -> Checklist:
    return applicable(find_checklist("school-bus-air-classic"), find_profile("yard-bus-air"))


def test_the_same_seed_makes_the_same_runs(bus: Checklist) -> None:
    first, again, other = (
        [line.text for run in runs(bus, 3, seed) for line in run] for seed in (5, 5, 6)
    )
    assert first == again != other


def test_labels_are_the_checklists_and_only_the_trainee_earns(bus: Checklist) -> None:
    known = {r.id for item in bus.items for r in item.requirements}
    lines = [line for run in islice(runs(bus, 40, 1), 40) for line in run]
    assert len(lines) > 400
    for line in lines:
        assert set(line.earns) | set(line.wrong) <= known
        assert not set(line.earns) & set(line.wrong)
        assert line.who == "trainee" or not (line.earns or line.wrong or line.named)
    assert any(line.wrong for line in lines)
    assert any(line.named and not line.earns for line in lines)


def test_clauses_that_name_a_part_are_left_out() -> None:
    clauses = {"secure": {"sound": ["it is tight", "the drag link is tight"]}}
    assert free_of_parts(clauses, ["drag link"]) == {"secure": {"sound": ["it is tight"]}}
