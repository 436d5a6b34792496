# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""The truck checklists against published values, and every mark against its source.

The numbers below were written from the sources named beside them, not from the YAML files.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.lint import lint
from walkgrade.checklists.records import Checklist, Item, Kind, Requirement, Standing

MANUAL = "State commercial driver manual, 2005 test system"
MODERN = "State commercial driver manual, modernized test"
HABIT = "Habit of the trade"

AIR = ("straight-truck-air-classic", "straight-truck-air-modern")
HYDRAULIC = ("straight-truck-hydraulic-classic", "straight-truck-hydraulic-modern")
COMBINATION = ("tractor-trailer-classic", "tractor-trailer-modern")
LISTS = (*AIR, *HYDRAULIC, *COMBINATION)
CLASSIC = tuple(name for name in LISTS if name.endswith("classic"))
ALL_AIR = (*AIR, *COMBINATION)
AIR_CLASSIC = (AIR[0], COMBINATION[0])
TT_CLASSIC = COMBINATION[:1]

PROFILES = {
    **dict.fromkeys(AIR, ("yard-box-truck-air",)),
    **dict.fromkeys(HYDRAULIC, ("yard-box-truck-hydraulic",)),
    **dict.fromkeys(COMBINATION, ("yard-tractor-trailer", "yard-pintle-trailer")),
}

# (lists, requirement): (comparator, low, high, unit, accepted, title, start of the section)
LIMITS = [
    # 49 CFR 393.75(b) and (c): 4/32 in on the front wheels of a truck or tractor, 2/32 in elsewhere
    (LISTS, "front-axle.tyre-tread.depth", "at least", "4/32", None, "in", ("4/32", "4/32"), "49 CFR 393.75", "(b)"),
    (CLASSIC, "rear-axle.tyre-tread.depth", "at least", "2/32", None, "in", ("2/32", "2/32"), "49 CFR 393.75", "(c)"),
    (TT_CLASSIC, "trailer-axle.tyre-tread.depth", "at least", "2/32", None, "in", ("2/32", "2/32"), "49 CFR 393.75", "(c)"),
    # 49 CFR 393.47(d)(1): steering axle, air drum 3/16 in (one strip), air disc 1/8 in; trade 1/4 in
    (AIR_CLASSIC, "front-axle.brake-linings.thickness", "at least", "3/16", None, "in", ("3/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    (AIR_CLASSIC, "front-axle.brake-pads.thickness", "at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(1)"),
    # 49 CFR 393.47(d)(2): other axles, air drum 1/4 in, air disc 1/8 in
    (AIR_CLASSIC, "rear-axle.brake-linings.thickness", "at least", "1/4", None, "in", ("1/4", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (AIR_CLASSIC, "rear-axle.brake-pads.thickness", "at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (TT_CLASSIC, "trailer-axle.brake-linings.thickness", "at least", "1/4", None, "in", ("1/4", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (TT_CLASSIC, "trailer-axle.brake-pads.thickness", "at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(2)"),
    # 49 CFR 393.47(d): hydraulic, more than 1/16 in on the steering axle, at least 1/16 in elsewhere
    (HYDRAULIC[:1], "front-axle.brake-linings.thickness", "above", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    (HYDRAULIC[:1], "front-axle.brake-pads.thickness", "above", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    (HYDRAULIC[:1], "rear-axle.brake-linings.thickness", "at least", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (HYDRAULIC[:1], "rear-axle.brake-pads.thickness", "at least", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(2)"),
    # manual 11.2.3: push rod moves at most about 1 in by hand, brakes released
    (AIR_CLASSIC, "front-axle.slack-adjuster.travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    (AIR_CLASSIC, "front-axle.slack-adjuster.hand-travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    (AIR_CLASSIC, "rear-axle.slack-adjuster.travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    (AIR_CLASSIC, "rear-axle.slack-adjuster.hand-travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    # manual 11.4: on each axle of the trailer the same
    (TT_CLASSIC, "trailer-axle.slack-adjuster.travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.4"),
    (TT_CLASSIC, "trailer-axle.slack-adjuster.hand-travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.4"),
    # manual 5.3.3 and 11.1.2, in one minute: single vehicle 2 psi static and 3 psi applied,
    # combination 3 psi and 4 psi
    (AIR, "air-brake.leak.static", "at most", None, "2", "psi", ("0", "2"), MANUAL, "5.3.3"),
    (AIR, "air-brake.leak.loss", "at most", None, "3", "psi", ("0", "3"), MANUAL, "11.1.2"),
    (COMBINATION, "air-brake.leak.static", "at most", None, "3", "psi", ("0", "3"), MANUAL, "5.3.3"),
    (COMBINATION, "air-brake.leak.loss", "at most", None, "4", "psi", ("0", "4"), MANUAL, "11.1.2"),
    (ALL_AIR, "air-brake.leak.minute", "exactly", "1", None, "min", ("1", "1"), MANUAL, "11.1.2"),
    # manual 11.1.2: before 55 psi; 49 CFR 571.121 S5.1.5: 60 psi; either is right
    (ALL_AIR, "air-brake.warning.pressure", "about", "55", None, "psi", ("55", "60"), MANUAL, "11.1.2"),
    (ALL_AIR, "air-brake.warning.pressure", "about", "55", None, "psi", ("55", "60"), "49 CFR 571.121", "S5.1.5"),
    # single vehicle, manual 5.1.14 and 5.3.3, from memory: 20 to 45 psi
    (AIR, "air-brake.pop-out.pressure", "between", "20", "45", "psi", ("20", "45"), MANUAL, "5.1.14"),
    # combination, manual 11.1.2: about 40 psi; 49 CFR 393.43(b), from memory: 20 to 45 psi
    (COMBINATION, "air-brake.pop-out.pressure", "about", "40", None, "psi", ("20", "45"), MANUAL, "11.1.2"),
    (COMBINATION, "air-brake.pop-out.pressure", "about", "40", None, "psi", ("20", "45"), "49 CFR 393.43", "(b)"),
    # manual 11.1.2 and 2.1.5: cut-out 120 to 140 psi
    (ALL_AIR, "air-brake.charge.cut-out", "between", "120", "140", "psi", ("120", "140"), MANUAL, "11.1.2"),
    # 49 CFR 571.121 S5.1.1.1, 61 FR 60635: cut-in of a truck at least 100 psi; 120 is our ceiling
    (ALL_AIR, "air-brake.charge.cut-in", "at least", "100", None, "psi", ("100", "120"), "49 CFR 571.121", "S5.1.1.1 Compressor cut-in, trucks"),
    # manual 11.1.2 and 2.1.5, hydraulic: pump three times, hold five seconds
    (HYDRAULIC, "hydraulic-brake.pump.three", "exactly", "3", None, "count", ("3", "3"), MANUAL, "2.1.5"),
    (HYDRAULIC, "hydraulic-brake.hold.seconds", "exactly", "5", None, "s", ("5", "5"), MANUAL, "2.1.5"),
    # manual 11.1.2: about 5 mph
    (LISTS, "cab.service-brake.speed", "about", "5", None, "mph", ("3", "7"), MANUAL, "11.1.2"),
    # manual 2.1.3, from memory: 10 degrees (2 in at a 20-inch wheel)
    (CLASSIC, "cab.steering-play.play", "at most", None, "10", "degree", ("10", "10"), MANUAL, "2.1.3"),
    # manual 11.1.1: 1/2 to 3/4 in of belt play; DEF above 1/8
    (CLASSIC, "engine.alternator.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (CLASSIC, "engine.water-pump.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (CLASSIC, "engine.power-steering-pump.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (AIR_CLASSIC, "engine.air-compressor.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (LISTS, "cab.def-gauge.level", "above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    (("straight-truck-air-modern", "straight-truck-hydraulic-modern", "tractor-trailer-modern"), "left-side.def-tank.level", "above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    (("straight-truck-air-modern", "straight-truck-hydraulic-modern", "tractor-trailer-modern"), "right-side.def-tank.level", "above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    # manual figure 2.5 and 2.1.5: idling 5 to 20 psi, running 35 to 75 psi
    (CLASSIC, "cab.oil-pressure.reading", "between", "35", "75", "psi", ("5", "75"), MANUAL, "2.1.5"),
    # common practice, no source
    (CLASSIC, "cab.water-temperature.reading", "about", "190", None, "F", ("160", "220"), HABIT, ""),
    (CLASSIC, "cab.oil-temperature.reading", "about", "200", None, "F", ("160", "250"), HABIT, ""),
    (ALL_AIR, "cab.air-gauge.reading", "about", "120", None, "psi", ("100", "140"), HABIT, ""),
    (CLASSIC, "cab.voltmeter.reading", "between", "12", "14", "V", ("12", "15"), HABIT, ""),
]  # fmt: skip

# item of every list that has it: color by 49 CFR 393.11 Table 1 (rear clearance lamps: manual 11.1.2)
COLOURS = {
    "front.clearance-lamps": {"amber"}, "trailer-front.clearance-lamps": {"amber"},
    "left-side.side-marker-lamps": {"amber"}, "right-side.side-marker-lamps": {"amber"},
    "trailer-side.side-marker-lamps": {"amber"}, "trailer-side.middle-marker-lamps": {"amber"},
    "rear.clearance-lamps": {"red"}, "trailer-rear.clearance-lamps": {"red"},
    "front.headlights": {"white"}, "front.turn-signals": {"amber", "red"},
    "left-side.turn-signals": {"amber", "red"}, "right-side.turn-signals": {"amber", "red"},
    "rear.turn-signals": {"amber", "red"}, "tractor-rear.turn-signals": {"amber", "red"},
    "trailer-rear.turn-signals": {"amber", "red"}, "front.four-way-flashers": {"amber", "red"},
    "rear.four-way-flashers": {"amber", "red"}, "trailer-rear.four-way-flashers": {"amber", "red"},
    "rear.tail-lamps": {"red"}, "tractor-rear.tail-lamps": {"red"}, "trailer-rear.tail-lamps": {"red"},
    "rear.brake-lamps": {"red"}, "tractor-rear.brake-lamps": {"red"}, "trailer-rear.brake-lamps": {"red"},
    "rear.backing-lamps": {"white"}, "tractor-rear.backing-lamps": {"white"},
    "left-side.reflectors": {"amber"}, "right-side.reflectors": {"amber"},
    "trailer-side.reflectors": {"amber"}, "rear.reflectors": {"red"}, "trailer-rear.reflectors": {"red"},
    "front.lenses": {"amber"}, "left-side.lenses": {"amber"}, "right-side.lenses": {"amber"},
    "trailer-side.lenses": {"amber"}, "rear.lenses": {"red"}, "trailer-rear.lenses": {"red"},
}  # fmt: skip

# item: short ids of what must be said; the row of docs/sources.md beside it
MUST_SAY = {
    "coupling.air-lines": {"undamaged", "leak", "free"},  # T1
    "coupling.electric-line": {"undamaged", "free"},  # T1
    "coupling.glad-hands": {"locked", "undamaged", "leak"},  # T2
    "coupling.electric-plug": {"locked"},  # T2
    "coupling.catwalk": {"secure", "clear"},  # T3
    "coupling.mounting-bolts": {"secure", "complete"},  # T4
    "coupling.release-lever": {"in-place", "secure"},  # T5
    "coupling.locking-jaws": {"closed"},  # T6
    "coupling.safety-chains": {"secure", "free"},  # T6
    "coupling.skid-plate": {"grease", "secure", "undamaged", "complete"},  # T7
    "coupling.platform": {"undamaged"},  # T8
    "coupling.release-arm": {"engaged", "latch"},  # T9
    "coupling.kingpin": {"undamaged"},  # T10
    "coupling.apron": {"undamaged"},  # T10
    "coupling.gap": {"none"},  # T10
    "coupling.sliding-pins": {"engaged", "present"},  # T11
    "coupling.drawbar": {"undamaged"},  # T12
    "trailer-front.header-board": {"secure", "undamaged", "tarp"},  # T13
    "trailer-front.front-wall": {"undamaged"},  # T13
    "trailer-side.landing-gear": {"raised", "complete", "undamaged", "crank", "leak"},  # T14
    "trailer-side.trailer-frame": {"undamaged"},  # T15
    "trailer-axle.tandem-release": {"pins", "arm"},  # T15
    "trailer-axle.brake-chamber": {"leak", "undamaged", "secure"},  # T16
    "trailer-side.dot-tape": {"present", "secure"},  # T17
    "cab.tractor-parking-brake": {"pull", "holds"},  # T18
    "cab.trailer-parking-brake": {"pull", "holds"},  # T18
    "rear.cargo-doors": {"undamaged", "works"},  # R2
    "rear.cargo-ties": {"secure"},  # R2
    "rear.cargo-lift": {"leak", "undamaged", "stowed"},  # R2
    "left-side.cab-door": {"undamaged", "opens", "hinges"},  # D1
    "rear-axle.mud-flaps": {"secure", "undamaged"},  # R1
    "engine.master-cylinder": {"secure", "leak"},  # E7
    "engine.brake-fluid": {"level"},  # E7
    "cab.fire-extinguisher": {"charged", "secure"},  # C8, rating optional
    "trailer-rear.trailer-abs-lamp": {"lamp"},  # C10
}

# Parts that 11.2.7, 11.4 and 11M.6 print for both tests, and those of the classic test alone
BOTH_TESTS = {
    "air-lines",
    "electric-line",
    "glad-hands",
    "electric-plug",
    "mounting-bolts",
    "locking-jaws",
    "release-arm",
    "kingpin",
    "apron",
    "gap",
    "sliding-pins",
    "safety-chains",
    "dot-tape",
}
CLASSIC_ALONE = {
    "catwalk",
    "release-lever",
    "skid-plate",
    "platform",
    "drawbar",
    "header-board",
    "front-wall",
    "landing-gear",
    "trailer-frame",
    "tandem-release",
    "cargo-doors",
    "cab-door",
    "drive-shaft",
    "exhaust",
    "safety-belt",
    "slack-adjuster",
    "brake-chamber",
    "brake-drum",
    "hub-seal",
    "dual-spacing",
    "alternator",
    "safe-start",
    "oil-pressure",
    "mud-flaps",
}


@pytest.fixture(scope="module")
def lists() -> dict[str, Checklist]:
    return {name: find_checklist(name) for name in LISTS}


def requirements(checklist: Checklist) -> list[Requirement]:
    return [r for found in checklist.items for r in found.requirements]


def items(lists: dict[str, Checklist], item_id: str) -> list[Item]:
    return [i for checklist in lists.values() for i in checklist.items if i.id == item_id]


def exact(value: str | None) -> Fraction | None:
    return None if value is None else Fraction(value)


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: f"{row[1]}-{row[0][0]}-{row[7]}")
def test_each_limit_equals_its_source(row: tuple, lists: dict[str, Checklist]) -> None:
    names, requirement_id, comparator, low, high, unit, accept, title, section = row
    for name in names:
        (requirement,) = [r for r in requirements(lists[name]) if r.id == requirement_id]
        limit = requirement.limit
        assert limit is not None
        assert (limit.comparator, limit.unit) == (comparator, unit)
        assert (limit.low, limit.high) == (exact(low), exact(high))
        assert (limit.accept_low, limit.accept_high) == (exact(accept[0]), exact(accept[1]))
        named = [(b.title, b.section) for b in requirement.basis]
        assert any(t == title and s.startswith(section) for t, s in named), named


def test_no_limit_is_left_unchecked(lists: dict[str, Checklist]) -> None:
    checked = {(name, row[1]) for row in LIMITS for name in row[0]}
    asked = {(n, r.id) for n, c in lists.items() for r in requirements(c) if r.limit}
    assert asked == checked


def test_lamp_colours(lists: dict[str, Checklist]) -> None:
    seen = set()
    for checklist in lists.values():
        for found in checklist.items:
            for requirement in found.requirements:
                if requirement.id.endswith(".colour") and requirement.concepts:
                    seen.add(found.id)
                    assert set(requirement.concepts) == COLOURS[found.id], found.id
    assert seen == set(COLOURS)


@pytest.mark.parametrize("item_id", MUST_SAY)
def test_what_must_be_said(item_id: str, lists: dict[str, Checklist]) -> None:
    found = items(lists, item_id)
    assert found
    for one in found:
        short = {r.id.removeprefix(f"{item_id}.") for r in one.requirements if r.required}
        assert short == MUST_SAY[item_id]


def test_the_pintle_hook_is_asked_more_of_in_the_classic_test(lists: dict[str, Checklist]) -> None:
    """T6 stands in both tests, T12 in the classic one alone."""
    classic, modern = items(lists, "coupling.pintle-hook")
    assert {r.id.rsplit(".")[-1] for r in classic.requirements} == {
        "locked",
        "undamaged",
        "complete",
    }
    assert {r.id.rsplit(".")[-1] for r in modern.requirements} == {"locked"}


@pytest.mark.parametrize("name", LISTS)
def test_every_requirement_has_a_basis_and_a_row(name: str, lists: dict[str, Checklist]) -> None:
    for requirement in requirements(lists[name]):
        assert requirement.basis, requirement.id
        assert requirement.row, requirement.id
        assert requirement.says, requirement.id


@pytest.mark.parametrize("name", LISTS)
def test_only_the_test_of_the_list_is_cited_for_the_test(
    name: str, lists: dict[str, Checklist]
) -> None:
    """No mark of a truck may rest on the school-bus or coach sections alone."""
    for requirement in requirements(lists[name]):
        titles = {(b.title, b.section.split()[0]) for b in requirement.basis}
        others = {(t, s) for t, s in titles if s not in ("11.3", "11.5", "11M.2", "11M.3")}
        assert others, requirement.id
        assert not {t for t, _ in titles} & {
            "Maryland COMAR 11.19.03.24",
            "Georgia rule 375-6-1-.10",
        }


@pytest.mark.parametrize("name", LISTS)
def test_the_words_of_a_truck_list_fit_a_truck(name: str, lists: dict[str, Checklist]) -> None:
    for found in lists[name].items:
        text = f" {found.title} {found.why} {found.caution} ".casefold()
        assert " bus" not in text, found.id
        assert "child" not in text, found.id
        assert "student" not in text, found.id
        assert found.why.endswith("."), found.id
        assert found.why.count(".") == 1, found.id
        assert len(found.names) >= 6, found.id
        assert len(set(found.names)) == len(found.names), found.id


@pytest.mark.parametrize("name", LISTS)
def test_lint_notes_only_what_is_meant(name: str, lists: dict[str, Checklist]) -> None:
    """Tires and lines are named together; keys and places serve both tests."""
    meant = (".tyre-", "coupling.electric-line")
    for note in lint(lists[name]):
        if "also means" in note.message:
            assert any(part in note.where for part in meant), note
        else:
            unused = note.where in ("places.rear-axle", "places.trailer-axle")
            assert note.where.startswith("profile_keys.") or (unused and "modern" in name), note


@pytest.mark.parametrize(("name", "profile"), [(n, p) for n in LISTS for p in PROFILES[n]])
def test_what_a_vehicle_is_asked(name: str, profile: str, lists: dict[str, Checklist]) -> None:
    checklist = lists[name]
    fitted = applicable(checklist, find_profile(profile))
    assert checklist.budget_s == sum(s.budget_s for s in checklist.sections)
    low, high = {True: (90, 155), False: (60, 95)}[name.endswith("classic")]
    assert low <= len(fitted.items) <= high
    assert max(sum(r.required for r in i.requirements) for i in fitted.items) <= 4
    assert {i.place for i in fitted.items} <= {p.id for p in checklist.places}


def steps(checklist: Checklist, section: str) -> list[str]:
    return [i.id.split(".")[1] for i in checklist.items if i.step and i.section == section]


@pytest.mark.parametrize("name", ALL_AIR)
def test_the_air_brake_check_in_its_order(name: str, lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2 and 11M.1.2: every part explained and done, else the test is failed."""
    checklist = lists[name]
    order = ["charge", "engine-off", "release", "leak", "warning", "pop-out"]
    assert steps(checklist, "air-brake") == order
    assert all(i.critical for i in checklist.items if i.section == "air-brake")


@pytest.mark.parametrize("name", HYDRAULIC)
def test_the_hydraulic_check_in_its_order(name: str, lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: pump three times, hold five seconds, reserve motor if fitted."""
    checklist = lists[name]
    assert steps(checklist, "hydraulic-brake") == ["pump", "hold", "reserve"]
    assert all(i.critical for i in checklist.items if i.section == "hydraulic-brake")
    assert not {i.section for i in checklist.items} & {"air-brake"}
    assert not {i.id for i in checklist.items} & {"engine.air-compressor", "cab.air-gauge"}


@pytest.mark.parametrize("name", COMBINATION)
def test_a_combination_adds_the_trailer_valve(name: str, lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: both valves are released for the test, and both pop out."""
    by_id = {r.id: r for r in requirements(lists[name])}
    for short in ("air-brake.release.supply", "air-brake.pop-out.trailer"):
        assert by_id[short].required
        assert by_id[short].kind is Kind.ACTION
    assert ("air-brake.pop-out.order" in by_id) is name.endswith("modern")


def test_the_modern_check_listens_where_a_valve_stays_in(lists: dict[str, Checklist]) -> None:
    """Manual 11M.1.2, for single vehicles and combinations; optional here."""
    for name in ALL_AIR:
        found = [r for r in requirements(lists[name]) if r.id == "air-brake.pop-out.discharge"]
        assert [r.required for r in found] == ([False] if name.endswith("modern") else [])


def test_both_parking_brakes_of_a_combination(lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: a miss of either fails the classic test; 11M marks the air check alone."""
    for name in LISTS:
        tests = {i.id: i.critical for i in lists[name].items if i.id.endswith("parking-brake")}
        if name in COMBINATION:
            critical = name.endswith("classic")
            assert tests == {
                "cab.tractor-parking-brake": critical,
                "cab.trailer-parking-brake": critical,
            }
        else:
            assert tests == {"cab.parking-brake": False}


def test_the_two_editions_differ_as_printed(lists: dict[str, Checklist]) -> None:
    classic, modern = ({i.id.split(".")[1] for i in lists[name].items} for name in COMBINATION)
    assert classic >= BOTH_TESTS | CLASSIC_ALONE
    assert modern >= BOTH_TESTS
    assert not modern & CLASSIC_ALONE
    assert "trailer-abs-lamp" in modern - classic
    for name in LISTS:
        if name.endswith("modern"):
            places = {i.place for i in lists[name].items}
            assert not places & {"rear-axle", "trailer-axle"}, "one steering axle only"


def test_each_function_of_a_lamp_is_shown_by_itself(lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: brake, turn and four-way functions are shown separately."""
    for name in LISTS:
        rear = "trailer-rear" if name in COMBINATION else "rear"
        found = {i.id for i in lists[name].items if i.section == "lights"}
        assert {
            f"{rear}.{lamp}"
            for lamp in ("brake-lamps", "turn-signals", "four-way-flashers", "tail-lamps")
        } <= found
        assert "trailer-rear.backing-lamps" not in found, "49 CFR 393.11: not on trailers"


def test_what_was_not_read_says_so(lists: dict[str, Checklist]) -> None:
    """Platform: from memory; apron and the pins of the skid plate: from memory besides."""
    for item_id in ("coupling.platform", "coupling.apron"):
        for found in items(lists, item_id):
            assert all(
                Standing.FROM_MEMORY in {b.standing for b in r.basis} for r in found.requirements
            )


CAUTIONS = {
    "engine.coolant": "hot", "coupling.locking-jaws": "hand", "coupling.gap": "hand",
    "trailer-side.trailer-frame": "crawl", "under.frame": "crawl", "coupling.catwalk": "jump",
    "air-brake.release": "chocked", "engine.brake-fluid": "eyes", "rear.cargo-lift": "clear",
}  # fmt: skip


@pytest.mark.parametrize("item_id", CAUTIONS)
def test_what_can_hurt_carries_its_caution(item_id: str, lists: dict[str, Checklist]) -> None:
    found = items(lists, item_id)
    assert found
    assert all(CAUTIONS[item_id] in one.caution for one in found)


@pytest.mark.parametrize(
    "words",
    [
        "hot cooling",
        "chock the wheels",
        "not supported",
        "report it",
        "state's manual",
        "Placarded",
    ],
)
def test_the_usual_cautions_stand_on_every_list(words: str, lists: dict[str, Checklist]) -> None:
    for checklist in lists.values():
        assert any(words in caution for caution in checklist.cautions)
