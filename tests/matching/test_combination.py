"""A tractor with a trailer: two valves, two parking brakes, and talk of the trailer is no aside."""

from __future__ import annotations

import pytest
from spoken_lines import transcript

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.language.read import read
from walkgrade.matching.match import match
from walkgrade.matching.records import Outcome


def said(checklist: str, profile: str, *lines: str) -> set[str]:
    """Ids of the requirements that the lines earn."""
    fitted = applicable(find_checklist(checklist), find_profile(profile))
    found = match(read(transcript(*lines), fitted), fitted, profile)
    return {
        r.requirement for i in found.items for r in i.requirements
        if r.outcome is Outcome.SAID
    }  # fmt: skip


TRACTOR = ("tractor-trailer-classic", "yard-tractor-trailer")
BOX = ("straight-truck-air-classic", "yard-box-truck-air")
START = "Now the air brake check."
POPS, TRAILER = "air-brake.pop-out.pops", "air-brake.pop-out.trailer"
RELEASED, SUPPLY = "air-brake.release.released", "air-brake.release.supply"


@pytest.mark.parametrize(
    ("line", "earned"),
    [
        ("I keep fanning and both valves pop out.", {POPS, TRAILER}),
        ("I keep fanning and the yellow knob pops out.", {POPS}),
        ("I keep fanning and the red knob pops out.", {TRAILER}),
        ("The trailer supply valve and the parking brake valve pop out.", {POPS, TRAILER}),
        ("I keep fanning the pedal.", set()),
    ],
)
def test_which_valve_pops(line: str, earned: set[str]) -> None:
    assert said(*TRACTOR, START, line) & {POPS, TRAILER} == earned


@pytest.mark.parametrize(
    ("line", "earned"),
    [
        ("I push both knobs in.", {RELEASED, SUPPLY}),
        ("I release the parking brake.", {RELEASED}),
        ("I push in the trailer supply valve and the parking brake valve.", {RELEASED, SUPPLY}),
    ],
)
def test_what_is_released(line: str, earned: set[str]) -> None:
    assert said(*TRACTOR, START, line) & {RELEASED, SUPPLY} == earned


@pytest.mark.parametrize(
    ("line", "on_a_tractor", "on_a_box_truck"),
    [
        ("With a trailer it may lose four psi in one minute.", True, False),
        ("A combination may lose four psi in one minute.", True, False),
        ("It may lose three psi in one minute.", True, True),
    ],
)
def test_whose_loss_it_is(line: str, on_a_tractor: bool, on_a_box_truck: bool) -> None:
    """Manual 5.3.3 and 11.1.2: 3 psi a minute for a single vehicle, 4 psi for a combination."""
    hold = "I hold the brake pedal down for the leak test."
    for vehicle, right in ((TRACTOR, on_a_tractor), (BOX, on_a_box_truck)):
        assert ("air-brake.leak.loss" in said(*vehicle, START, hold, line)) is right


@pytest.mark.parametrize(
    ("line", "item"),
    [
        ("Tractor parking brake: I tug in low gear and it holds.", "cab.tractor-parking-brake"),
        ("Trailer parking brake: I tug in low gear and it holds.", "cab.trailer-parking-brake"),
    ],
)  # fmt: skip
def test_each_parking_brake_earns_its_own(line: str, item: str) -> None:
    earned = {one for one in said(*TRACTOR, "Back in the cab.", line) if "parking-brake" in one}
    assert {f"{item}.pull", f"{item}.holds"} <= earned
    assert {one.rsplit(".", 1)[0] for one in earned} == {item}


@pytest.mark.parametrize(
    ("line", "earned"),
    [
        ("The jaws are closed around the shank of the kingpin.", "coupling.locking-jaws.closed"),
        ("There's no gap between the apron and the fifth wheel.", "coupling.gap.none"),
        ("The landing gear is fully raised.", "trailer-side.landing-gear.raised"),
        ("The air lines are not cut and have enough slack for turns.", "coupling.air-lines.free"),
        ("The skid plate has plenty of grease.", "coupling.skid-plate.grease"),
        ("The glad hands are locked in.", "coupling.glad-hands.locked"),
        ("The release arm is engaged.", "coupling.release-arm.engaged"),
        ("The tandem pins are locked in place.", "trailer-axle.tandem-release.pins"),
    ],
)  # fmt: skip
def test_parts_of_the_coupling_are_heard(line: str, earned: str) -> None:
    assert earned in said(*TRACTOR, "Here at the coupling.", line)


def test_jaws_on_the_head_of_the_kingpin_earn_nothing() -> None:
    line = "The locking jaws are closed on the head of the kingpin."
    assert "coupling.locking-jaws.closed" not in said(*TRACTOR, "At the coupling.", line)
