"""What turns a part, against what the vehicle has: by the rules, and above the run reader."""

from __future__ import annotations

import pytest
from drive_rows import (
    BELT_ON_A_GEAR,
    CORRECTED_DRIVE,
    GEAR_ON_A_BELT,
    NO_STATEMENT,
    RIGHT_DRIVE,
)
from mini_lists import listed, need, part
from spoken_lines import clashes, earned, finding, heard, labels, wrong, yard_bus
from spoken_rows import Row, check, table

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.language.records import Drive
from walkgrade.matching.records import Findings, ItemOutcome, Remark, RemarkKind
from walkgrade.matching.scene import Scene

DRIVES = (*BELT_ON_A_GEAR, *GEAR_ON_A_BELT, *RIGHT_DRIVE, *CORRECTED_DRIVE, *NO_STATEMENT)


def clash(findings: Findings) -> Remark:
    (mark,) = [one for one in findings.remarks if one.kind is RemarkKind.PROFILE]
    return mark


@pytest.mark.parametrize("one", table(DRIVES))
def test_drive(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(BELT_ON_A_GEAR))
def test_a_wrong_drive_stands_above_the_run_reader(one: Row) -> None:
    found = heard(*one.lines, judged=True)
    assert wrong(found) == labels(one.against)
    assert finding(found, "engine.air-compressor").outcome is ItemOutcome.WRONG


@pytest.mark.parametrize("judged", [False, True])
def test_the_remark_has_item_words_and_time(judged: bool) -> None:
    found = heard("Engine compartment. The air compressor runs off a belt.", judged=judged)
    mark = clash(found)
    assert mark.items == ("engine.air-compressor",)
    assert mark.evidence.quote == "runs off a belt."
    assert mark.evidence.start == 700 + 5 * 400  # after the pause and five words
    assert mark.note == (
        "Air compressor and its drive: said to be belt driven, on this vehicle it is gear driven."
    )
    line = next(one for one in found.lines if one.id == mark.evidence.utterance)
    assert (line.place, line.items) == ("engine", ("engine.air-compressor",))


def test_a_drive_is_no_defect_to_report() -> None:
    found = heard("Engine compartment. The air compressor runs off a belt.")
    assert RemarkKind.DEFECT not in {one.kind for one in found.remarks}


def test_the_right_drive_earns_after_a_wrong_one_with_the_reader() -> None:
    lines = ("Engine compartment.", "The air compressor runs off a belt.", "No, it's gear driven.")
    found = heard(*lines, judged=True)
    assert "engine.air-compressor.not-belt" in earned(found)


@pytest.mark.parametrize("one", [r for r in table(BELT_ON_A_GEAR) if "other-part" not in str(r)])
def test_the_same_words_are_right_on_the_bus_that_is_all_belt_driven(one: Row) -> None:
    lift = applicable(find_checklist("school-bus-air-classic"), find_profile("yard-bus-lift"))
    found = heard(*one.lines, checklist=lift)
    assert (wrong(found), clashes(found)) == (set(), set())


def test_a_slip_of_two_parts_put_right_for_one_stays_for_the_other() -> None:
    line = "The alternator and the water pump are both gear driven."
    found = heard("Engine compartment.", line, "No, the alternator is belt driven.")
    mark = clash(found)
    assert mark.items == ("engine.water-pump",)
    assert "Alternator" not in mark.note


def test_drives_of_the_yard_bus() -> None:
    scene = Scene(yard_bus())
    told = {item: scene.drive(item) for item in scene.items}
    assert {item: drive for item, drive in told.items() if drive is not None} == {
        "engine.alternator": Drive.BELT,
        "engine.water-pump": Drive.BELT,
        "engine.air-compressor": Drive.GEAR,
        "engine.power-steering-pump": Drive.GEAR,
    }


def test_an_item_that_may_have_no_belt_tells_its_drive_without_a_profile_key() -> None:
    own = listed(
        part("engine.compressor", need("engine.compressor.gear", "not_belt")),
        part("engine.alternator", need("engine.alternator.belt", "no_fray")),
    )
    scene = Scene(own)
    assert scene.drive("engine.compressor") is Drive.GEAR
    assert scene.drive("engine.alternator") is None
