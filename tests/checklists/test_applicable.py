"""What a vehicle profile switches off, and profiles that contradict their checklist."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from checklist_writer import write_small

from walkgrade.checklists.applicable import applicable, check_profile
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    list_checklists,
    list_profiles,
)
from walkgrade.checklists.loader import load_checklist
from walkgrade.checklists.records import Checklist, Item, VehicleProfile


def item(checklist: Checklist, item_id: str) -> Item:
    return next(found for found in checklist.items if found.id == item_id)


def ids(checklist: Checklist) -> set[str]:
    return {found.id for found in checklist.items}


def bus(**fitted: str) -> VehicleProfile:
    return VehicleProfile(id="bus", title="Bus", fitted=tuple(fitted.items()))


def test_items_of_other_vehicles_are_left_out(tmp_path: Path) -> None:
    checklist = load_checklist(write_small(tmp_path))
    assert "check.hold" in ids(applicable(checklist, bus(brakes="air")))
    assert "check.hold" not in ids(applicable(checklist, bus(brakes="hydraulic")))


def test_steps_are_counted_anew(tmp_path: Path) -> None:
    changed = (
        "        title: Engine off\n",
        "        title: Engine off\n        if_fitted: {brakes: hydraulic}\n",
    )
    checklist = load_checklist(write_small(tmp_path, changed))
    fitted = applicable(checklist, bus(brakes="air"))
    assert [(found.id, found.step) for found in fitted.items if found.step] == [("check.hold", 1)]


def test_an_item_with_nothing_left_to_ask_goes_too(tmp_path: Path) -> None:
    changed = ("concepts: [level]}", "concepts: [level], if_fitted: {brakes: air}}")
    checklist = load_checklist(write_small(tmp_path, changed))
    assert "engine.oil-level" not in ids(applicable(checklist, bus(brakes="hydraulic")))
    assert "engine.oil-level" in ids(applicable(checklist, bus(brakes="air")))


def test_sections_without_items_go(tmp_path: Path) -> None:
    checklist = load_checklist(write_small(tmp_path))
    only = replace(checklist, items=checklist.items[:1])
    assert [s.id for s in applicable(only, bus(brakes="air")).sections] == ["engine"]


@pytest.mark.parametrize(
    ("fitted", "path", "says"),
    [
        ({"brakes": "air", "brake": "air"}, "fitted.brake", "did you mean brakes?"),
        ({"brakes": "disc"}, "fitted.brakes", "is not one of: air, hydraulic"),
        ({}, "fitted.brakes", "missing; state one of: air, hydraulic"),
    ],
)
def test_a_profile_that_contradicts_is_refused(
    fitted: dict[str, str], path: str, says: str, tmp_path: Path
) -> None:
    checklist = load_checklist(write_small(tmp_path))
    for refusing in (check_profile, lambda p, c: applicable(c, p)):
        with pytest.raises(FaultyFileError) as caught:
            refusing(bus(**fitted), checklist)
        assert caught.value.code == "C05"
        assert [(f.path, says in f.message) for f in caught.value.faults] == [(path, True)]


def test_every_contradiction_is_told_at_once(classic: Checklist) -> None:
    with pytest.raises(FaultyFileError) as caught:
        check_profile(bus(lift="maybe", ramp="fitted"), classic)
    assert len(caught.value.faults) == len(classic.profile_keys) + 1


@pytest.mark.parametrize("name", ["classic", "modern"])
@pytest.mark.parametrize("profile", ["air_bus", "lift_bus"])
def test_every_air_bus_profile_fits_every_air_bus_checklist(
    name: str, profile: str, request: pytest.FixtureRequest
) -> None:
    checklist: Checklist = request.getfixturevalue(name)
    fitted = applicable(checklist, request.getfixturevalue(profile))
    assert len(fitted.items) > 80
    known = ids(fitted)
    for found in fitted.items:
        assert set(found.carry_over) <= known
        assert any(r.required for r in found.requirements)


def fits(profile: str, checklist: str) -> bool:
    try:
        check_profile(find_profile(profile), find_checklist(checklist))
    except FaultyFileError:
        return False
    return True


FITTING = [(p, c) for c in list_checklists() for p in list_profiles() if fits(p, c)]


def test_every_shipped_checklist_has_a_profile_and_every_profile_a_checklist() -> None:
    assert {checklist for _, checklist in FITTING} == set(list_checklists())
    assert {profile for profile, _ in FITTING} == set(list_profiles())


@pytest.mark.parametrize(("profile", "checklist"), FITTING)
def test_what_a_profile_leaves_of_a_checklist_is_whole(profile: str, checklist: str) -> None:
    fitted = applicable(find_checklist(checklist), find_profile(profile))
    known = ids(fitted)
    assert len(known) > 60
    for found in fitted.items:
        assert set(found.carry_over) <= known
        assert any(r.required for r in found.requirements)


def test_a_belt_is_asked_where_there_is_one(
    classic: Checklist, air_bus: VehicleProfile, lift_bus: VehicleProfile
) -> None:
    gear = item(applicable(classic, air_bus), "engine.air-compressor")
    belt = item(applicable(classic, lift_bus), "engine.air-compressor")
    required = {r.id.rsplit(".", 1)[1] for r in gear.requirements if r.required}
    assert required == {"not-belt", "secure", "undamaged", "leak"}
    assert {r.id.rsplit(".", 1)[1] for r in belt.requirements if r.required} == {"snug", "belt"}


SWITCHES = {
    # item of the classic list: (on the bus without lift, on the bus with lift)
    "right-side.lift": (False, True),
    "front-axle.slack-adjuster": (True, False),
    "front-axle.brake-drum": (True, False),
    "front-axle.brake-rotor": (False, True),
    "rear-axle.brake-pads": (False, True),
    "rear-axle.air-bags": (True, False),
    "rear-axle.springs": (False, True),
    "cab.def-gauge": (True, False),
    "cab.steering-play": (False, True),
    "front.amber-warning-lamps": (True, False),
    "passenger.side-emergency-door": (False, True),
    "passenger.roof-hatches": (True, False),
    "right-side.fuel-tank": (True, False),
    "left-side.fuel-tank": (False, True),
    "front.red-warning-lamps": (True, True),
}


@pytest.mark.parametrize("item_id", SWITCHES)
def test_the_two_shipped_buses_differ(
    item_id: str, classic: Checklist, air_bus: VehicleProfile, lift_bus: VehicleProfile
) -> None:
    assert item_id in ids(classic)
    on = tuple(item_id in ids(applicable(classic, bus)) for bus in (air_bus, lift_bus))
    assert on == SWITCHES[item_id]


def test_fuses_or_breakers(
    classic: Checklist, air_bus: VehicleProfile, lift_bus: VehicleProfile
) -> None:
    for profile, wanted in ((air_bus, "present"), (lift_bus, "breakers")):
        found = item(applicable(classic, profile), "cab.spare-fuses")
        required = [r.id for r in found.requirements if r.required]
        assert required == [f"cab.spare-fuses.{wanted}"]
