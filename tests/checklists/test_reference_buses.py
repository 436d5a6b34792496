# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""The hydraulic school bus and the coach against published values, written apart from the YAML.

The numbers below come from the titles and sections named beside them.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from bus_sources import (
    COACH,
    HYDRAULIC,
    LIMITS_COACH,
    LIMITS_HYDRAULIC,
    MODERN,
    PROFILES,
)

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.lint import lint
from walkgrade.checklists.records import Checklist, Item, Requirement, Standing

LISTS = {name: find_checklist(name) for name in (*HYDRAULIC, *COACH)}

TABLES = [(HYDRAULIC, LIMITS_HYDRAULIC), (COACH, LIMITS_COACH)]


def requirements(*names: str) -> list[Requirement]:
    return [r for name in names for item in LISTS[name].items for r in item.requirements]


def item(name: str, item_id: str) -> Item:
    return next(found for found in LISTS[name].items if found.id == item_id)


def shorts(found: Item, *, required: bool = True) -> set[str]:
    return {r.id.removeprefix(f"{found.id}.") for r in found.requirements if r.required == required}


def exact(value: str | None) -> Fraction | None:
    return None if value is None else Fraction(value)


@pytest.mark.parametrize(
    ("names", "name", "row"),
    [(names, name, row) for names, table in TABLES for name, row in table.items()],
)
def test_each_limit_equals_its_source(
    names: tuple[str, ...],
    name: str,
    row: tuple[str, str | None, str | None, str, tuple[str, str], str, str],
) -> None:
    comparator, low, high, unit, accept, title, section = row
    found = [r for r in requirements(*names) if r.id == name]
    assert found
    for requirement in found:
        limit = requirement.limit
        assert limit is not None
        assert (limit.comparator, limit.unit) == (comparator, unit)
        assert (limit.low, limit.high) == (exact(low), exact(high))
        assert (limit.accept_low, limit.accept_high) == (exact(accept[0]), exact(accept[1]))
        named = [(b.title, b.section) for b in requirement.basis]
        assert any(t == title and s.startswith(section) for t, s in named), named


@pytest.mark.parametrize(("names", "table"), TABLES)
def test_no_limit_is_left_unchecked(names: tuple[str, ...], table: dict[str, object]) -> None:
    assert {r.id for r in requirements(*names) if r.limit} == set(table)


@pytest.mark.parametrize("name", LISTS)
def test_every_requirement_has_a_basis_a_row_and_words(name: str) -> None:
    for requirement in requirements(name):
        assert requirement.basis, requirement.id
        assert requirement.row, requirement.id
        assert requirement.says, requirement.id


@pytest.mark.parametrize("name", LISTS)
def test_shape(name: str) -> None:
    checklist = LISTS[name]
    assert checklist.budget_s == 30 * 60 == sum(s.budget_s for s in checklist.sections)
    for found in checklist.items:
        assert found.why.endswith("."), found.id
        assert found.why.count(".") == 1, found.id
        assert found.names
    fitted = applicable(checklist, find_profile(PROFILES[name]))
    assert max(sum(r.required for r in i.requirements) for i in fitted.items) <= 4
    assert {i.place for i in fitted.items} >= {"front", "cab", "front-axle", "left-side", "rear"}


@pytest.mark.parametrize("name", LISTS)
def test_lint_has_nothing_but_what_is_meant(name: str) -> None:
    # "tires", "student lights", "inside mirror": said of all of them at once
    meant = (".tyre-", "-warning-lamps", "cab.inside-")
    for note in lint(LISTS[name]):
        if "also means" in note.message:
            assert any(part in note.where for part in meant), note
        else:
            assert note.where.startswith(
                ("profile_keys.", "places.rear-axle", "places.tag-axle")
            ), note


@pytest.mark.parametrize("name", LISTS)
def test_the_usual_cautions_stand_on_every_list(name: str) -> None:
    for words in (
        "hot cooling",
        "chock the wheels",
        "not supported",
        "report it",
        "state's manual",
    ):
        assert any(words in caution for caution in LISTS[name].cautions), words


# ---- the hydraulic brake check: manual 11.1.2 (Indiana update notice, July 2017; Kansas manual 2.1.5)


@pytest.mark.parametrize("name", HYDRAULIC)
def test_the_hydraulic_check_is_pump_hold_and_reserve_and_each_is_critical(name: str) -> None:
    steps = [found for found in LISTS[name].items if found.step]
    assert [s.id for s in steps] == [
        "hydraulic-brake.pump", "hydraulic-brake.hold", "hydraulic-brake.reserve",
    ]  # fmt: skip
    assert all(s.critical for s in steps), "a part left out fails the test"
    assert shorts(steps[0]) == {"three"}
    assert shorts(steps[1]) == {"seconds", "still"}
    assert shorts(steps[2]) == {"key", "pedal", "motor", "warning"}


@pytest.mark.parametrize("name", HYDRAULIC)
def test_a_bus_without_reserve_motor_is_not_asked_for_it(name: str) -> None:
    reserve = item(name, "hydraulic-brake.reserve")
    assert [(f.key, f.values) for f in reserve.if_fitted] == [("brake_reserve_motor", ("fitted",))]


def test_the_modernized_steps_are_marked_as_from_memory() -> None:
    modern = [
        b
        for r in requirements(HYDRAULIC[1])
        if r.id.startswith("hydraulic-brake.")
        for b in r.basis
        if b.title == MODERN
    ]
    assert modern
    assert {b.standing for b in modern} == {Standing.FROM_MEMORY}


@pytest.mark.parametrize("name", HYDRAULIC)
def test_no_air_stands_on_a_hydraulic_list(name: str) -> None:
    """Air brakes have gauge, compressor, chamber, slack adjuster and check; hydraulic ones have none."""
    parts = {found.id.split(".")[1] for found in LISTS[name].items}
    assert not parts & {"air-gauge", "air-compressor", "slack-adjuster", "brake-chamber"}
    assert not any(found.id.startswith("air-brake.") for found in LISTS[name].items)
    for found in LISTS[name].items:
        if "brake" in found.id:
            assert " air " not in f" {found.title} {found.why} {found.caution} ".casefold(), (
                found.id
            )


def test_master_cylinder_and_fluid() -> None:
    """Manual 11.1.1 (2017 and later): mounted, no leak, fluid between add and full; 11M.5.1 fluid."""
    classic, modern = HYDRAULIC
    assert shorts(item(classic, "engine.master-cylinder")) == {"secure", "leak"}
    for name in HYDRAULIC:
        assert shorts(item(name, "engine.brake-fluid")) == {"level"}
    assert "engine.master-cylinder" not in {found.id for found in LISTS[modern].items}


def test_hydraulic_brakes_on_each_axle() -> None:
    for axle in ("front-axle", "rear-axle"):
        assert shorts(item(HYDRAULIC[0], f"{axle}.brake-caliper")) == {
            "leak",
            "undamaged",
            "secure",
        }
        assert shorts(item(HYDRAULIC[0], f"{axle}.wheel-cylinder")) == {"leak"}
        assert shorts(item(HYDRAULIC[0], f"{axle}.brake-hoses")) == {"undamaged", "leak", "secure"}


def same(first: Checklist, second: Checklist, apart: set[str]) -> None:
    """Both ask the same of everything whose id does not begin with one of `apart`."""

    def asked(checklist: Checklist) -> dict[str, tuple[Requirement, ...]]:
        return {
            found.id: found.requirements
            for found in checklist.items
            if not any(found.id == part or found.id.endswith(part) for part in apart)
            and not found.step
        }

    assert asked(first) == asked(second)


@pytest.mark.parametrize("edition", ["classic", "modern"])
def test_all_that_is_not_brakes_is_asked_as_of_the_air_bus(edition: str) -> None:
    same(
        find_checklist(f"school-bus-air-{edition}"),
        LISTS[f"school-bus-hydraulic-{edition}"],
        {
            ".air-gauge", ".air-compressor", ".slack-adjuster", ".brake-chamber", ".brake-hoses",
            ".brake-linings", ".brake-pads", ".brake-caliper", ".wheel-cylinder", ".master-cylinder",
            ".brake-fluid", ".brake-warning-lamp", ".parking-brake-lever",
        },
    )  # fmt: skip


# ---- the coach: manual 11.5 (classic) and 11M.2, passenger (modernized)

COACH_SAYS = {
    # K1, manual 11.5
    "entrance.entry-door": {"undamaged", "smooth", "latches"},
    "entrance.handrails": {"secure"},
    "entrance.step-light": {"works"},
    "entrance.entry-steps": {"clear", "treads"},
    "right-side.lift": {"leak", "undamaged", "operates", "stowed"},
    # K2, from memory
    "passenger.emergency-door": {"undamaged", "smooth", "latches"},
    "passenger.emergency-windows": {"undamaged", "smooth", "latches"},
    "passenger.roof-hatches": {"undamaged", "smooth", "latches"},
    "passenger.exit-alarms": {"works"},
    # K3, K4, K5, from memory
    "passenger.seats": {"frames", "floor", "cushions"},
    "front.coach-level": {"level", "leak"},
    "left-side.baggage-doors": {"undamaged", "works", "latches"},
    "right-side.baggage-doors": {"undamaged", "works", "latches"},
    # K6: as D1 to D3
    "right-side.fuel-tank": {"secure", "cap", "leak"},
    "left-side.battery": {"secure", "connections", "corrosion"},
    "left-side.battery-box": {"secure"},
    "left-side.outside-mirrors": {"undamaged", "secure"},
    # C8
    "cab.fire-extinguisher": {"charged", "secure"},
}


@pytest.mark.parametrize("name", COACH_SAYS)
def test_what_the_classic_coach_list_asks(name: str) -> None:
    assert shorts(item(COACH[0], name)) == COACH_SAYS[name]


MODERN_COACH = [
    "air-brake.charge", "cab.parking-brake", "cab.service-brake", "cab.left-turn-indicator",
    "cab.warning-devices", "cab.windshield", "cab.wipers", "cab.heater", "cab.horn",
    "entrance.entry-door", "right-side.lift", "passenger.emergency-door",
    "passenger.emergency-windows", "passenger.roof-hatches", "passenger.seats",
    "cab.passenger-mirror", "front.headlights", "front.lenses", "engine.oil-level", "engine.leaks",
    "front-axle.steering-box", "front-axle.tyre-tread", "front-axle.rim", "front-axle.lug-nuts",
    "front-axle.air-bags", "front-axle.brake-hoses", "front-axle.brake-contaminants",
    "left-side.lenses", "left-side.outside-mirrors", "left-side.battery", "left-side.fuel-tank",
    "left-side.def-tank", "under.frame", "rear.lenses", "rear.reflectors",
]  # fmt: skip


def test_the_modernized_coach_list_is_the_school_bus_list_less_11m_3() -> None:
    """11M.3 is printed for school buses only; 11M.2 for every bus that carries passengers."""
    found = {i.id for i in LISTS[COACH[1]].items}
    assert set(MODERN_COACH) <= found
    assert not {i for i in found if i.startswith(("rear-axle.", "tag-axle."))}, (
        "one steering axle only"
    )
    for checklist in (LISTS[name] for name in COACH):
        for r in (r for i in checklist.items for r in i.requirements):
            assert not any(b.section.startswith(("11.3 ", "11M.3")) for b in r.basis), r.id


def test_the_exit_that_is_shown() -> None:
    """11M.2: one exit is shown in full, of the others it is said how they open."""
    assert shorts(item(COACH[1], "passenger.emergency-door")) == {
        "undamaged",
        "smooth",
        "latches",
        "both-sides",
    }
    assert shorts(item(COACH[1], "passenger.roof-hatches")) == {"opens"}
    windows = item(COACH[1], "passenger.emergency-windows")
    only_without_door = {r.id.rsplit(".", 1)[1] for r in windows.requirements if r.if_fitted}
    assert only_without_door == {"undamaged", "smooth", "latches"}


@pytest.mark.parametrize("name", COACH)
def test_a_coach_carries_no_school_bus(name: str) -> None:
    parts = {found.id.split(".")[1] for found in LISTS[name].items}
    school = {
        "stop-arm", "crossing-arm", "crossover-mirrors", "amber-warning-lamps", "red-warning-lamps",
        "strobe-lamp", "school-bus-sign", "inside-student-mirror", "first-aid-kit", "body-fluid-kit",
    }  # fmt: skip
    assert not parts & school
    for found in LISTS[name].items:
        told = f"{found.title} {found.why} {found.caution}".casefold()
        assert not any(word in told for word in ("child", "student", "school", "kid")), found.id


@pytest.mark.parametrize("name", COACH)
def test_the_air_brake_check_is_the_whole_one_in_order(name: str) -> None:
    steps = [found for found in LISTS[name].items if found.step]
    assert [s.id.removeprefix("air-brake.") for s in steps] == [
        "charge", "engine-off", "release", "leak", "warning", "pop-out",
    ]  # fmt: skip
    assert all(s.critical for s in steps)


def test_every_axle_of_a_coach_is_asked_for() -> None:
    """Manual 11.2: suspension, brakes and wheels are to be shown on every axle."""
    found = {i.id for i in LISTS[COACH[0]].items}
    for axle in ("front-axle", "rear-axle", "tag-axle"):
        for part in (
            "air-bags",
            "spring-mounts",
            "shock-absorbers",
            "brake-chamber",
            "brake-hoses",
            "rim",
            "tyre-tread",
            "tyre-condition",
            "valve-stem",
            "tyre-inflation",
            "hub-seal",
            "lug-nuts",
        ):
            assert f"{axle}.{part}" in found


NEW_PARTS = {
    HYDRAULIC[0]: [
        "engine.master-cylinder", "engine.brake-fluid", "front-axle.brake-hoses",
        "front-axle.brake-caliper", "rear-axle.wheel-cylinder", "cab.brake-warning-lamp",
        "cab.parking-brake-lever", "hydraulic-brake.pump", "hydraulic-brake.hold",
        "hydraulic-brake.reserve",
    ],
    COACH[0]: [
        "front.coach-level", "engine.engine-doors", "left-side.baggage-doors", "entrance.kneeling",
        "entrance.door-interlock", "passenger.restroom", "passenger.emergency-door",
    ],
    COACH[1]: ["cab.passenger-mirror"],
}  # fmt: skip


@pytest.mark.parametrize(("name", "item_id"), [(n, i) for n, ids in NEW_PARTS.items() for i in ids])
def test_new_parts_have_the_names_people_use(name: str, item_id: str) -> None:
    names = item(name, item_id).names
    assert len(names) >= 6
    assert len({n.casefold() for n in names}) == len(names)


CAUTIONS = {
    (HYDRAULIC[0], "engine.brake-fluid"): "eyes", (COACH[0], "front.coach-level"): "drop",
    (COACH[0], "engine.engine-doors"): "engine is off", (COACH[0], "entrance.kneeling"): "nobody",
    (COACH[0], "air-brake.release"): "chocked", (COACH[0], "engine.coolant"): "hot",
}  # fmt: skip


@pytest.mark.parametrize(("name", "item_id"), CAUTIONS)
def test_what_can_hurt_carries_its_caution(name: str, item_id: str) -> None:
    assert CAUTIONS[name, item_id] in item(name, item_id).caution
