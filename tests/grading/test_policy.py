"""Points and target that a checklist brings along."""

from __future__ import annotations

from dataclasses import replace

from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Marking
from walkgrade.grading.policy import DEFAULT, of_school, points_for
from walkgrade.workflow import Terms

CHECKLIST = find_checklist("school-bus-air-classic")


def test_a_checklist_without_points_leaves_the_policy_alone() -> None:
    assert of_school(DEFAULT, CHECKLIST) is DEFAULT


def test_what_the_school_sets_replaces_the_policy_and_nothing_else_does() -> None:
    marking = Marking(each=2, items=(("air-brake.leak", 5),), late_counts=False, target_percent=90)
    policy = of_school(DEFAULT, replace(CHECKLIST, marking=marking))
    assert points_for(policy, "air-brake.leak") == 5
    assert points_for(policy, "cab.horn") == 2
    assert (policy.late_earns, policy.target_percent) == (False, 90)
    assert policy.target_owner == DEFAULT.target_owner
    assert "Points set by the school" in policy.title
    only = of_school(DEFAULT, replace(CHECKLIST, marking=Marking(target_percent=70)))
    assert (only.target_percent, only.points_per_item, only.late_earns) == (70, 1, True)


def test_the_command_line_wins_over_the_school() -> None:
    ours = replace(CHECKLIST, marking=Marking(target_percent=70))
    profile = find_profile("yard-bus-air")
    assert Terms(checklist=ours, profile=profile).settled()[1].target_percent == 70
    assert Terms(checklist=ours, profile=profile, target=60).settled()[1].target_percent == 60
