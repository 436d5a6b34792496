# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""The shipped checklists against published values, and every mark against its source.

The numbers below were written from the sources named beside them, not from the YAML files.
"""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.concepts import CONCEPTS
from walkgrade.checklists.gather import gather
from walkgrade.checklists.library import list_checklists, reference_folder
from walkgrade.checklists.records import UNITS, Checklist, Item, Requirement, VehicleProfile
from walkgrade.checklists.resolve import resolve_items

MANUAL = "State commercial driver manual, 2005 test system"
MODERN = "State commercial driver manual, modernized test"
HABIT = "Habit of the trade"

# requirement: (comparator, low, high, unit, accepted, title, start of the section)
LIMITS = {
    # 49 CFR 393.75(b) and (c): 4/32 in on the front wheels of a bus, 2/32 in elsewhere
    "front-axle.tyre-tread.depth": ("at least", "4/32", None, "in", ("4/32", "4/32"), "49 CFR 393.75", "(b)"),
    "rear-axle.tyre-tread.depth": ("at least", "2/32", None, "in", ("2/32", "2/32"), "49 CFR 393.75", "(c)"),
    # 49 CFR 393.47(d): air drum 3/16 in (one strip) on the steering axle, 1/4 in elsewhere; air disc 1/8 in
    "front-axle.brake-linings.thickness": ("at least", "3/16", None, "in", ("3/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    "rear-axle.brake-linings.thickness": ("at least", "1/4", None, "in", ("1/4", "1/4"), "49 CFR 393.47", "(d)(2)"),
    "front-axle.brake-pads.thickness": ("at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(1)"),
    "rear-axle.brake-pads.thickness": ("at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(2)"),
    # manual 11.2.3: push rod moves at most about 1 in by hand
    "front-axle.slack-adjuster.travel": ("at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    "front-axle.slack-adjuster.hand-travel": ("at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    "rear-axle.slack-adjuster.travel": ("at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    "rear-axle.slack-adjuster.hand-travel": ("at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    # manual 5.3.3 and 11.1.2, single vehicle: 2 psi static, 3 psi applied, in one minute
    "air-brake.leak.static": ("at most", None, "2", "psi", ("0", "2"), MANUAL, "5.3.3"),
    "air-brake.leak.loss": ("at most", None, "3", "psi", ("0", "3"), MANUAL, "11.1.2"),
    "air-brake.leak.minute": ("exactly", "1", None, "min", ("1", "1"), MANUAL, "11.1.2"),
    # manual 11.1.2: before 55 psi; 49 CFR 571.121 S5.1.5: 60 psi. "Before it drops below 60", "above
    # 55" and "by 55" all state the rule, so the direction word is left free
    "air-brake.warning.pressure": ("about", "55", None, "psi", ("55", "60"), MANUAL, "11.1.2"),
    # manual 5.1.14 and 5.3.3, from memory: 20 to 45 psi
    "air-brake.pop-out.pressure": ("between", "20", "45", "psi", ("20", "45"), MANUAL, "5.1.14"),
    # manual 11.1.2 and 2.1.5: 120 to 140 psi; 49 CFR 571.121 S5.1.1.1: cut-in at least 85 psi for a bus
    "air-brake.charge.cut-out": ("between", "120", "140", "psi", ("120", "140"), MANUAL, "11.1.2"),
    "air-brake.charge.cut-in": ("between", "85", "100", "psi", ("85", "100"), "49 CFR 571.121", "S5.1.1.1"),
    # manual 2.1.3, from memory: 10 degrees, or 2 in at a 20-inch wheel
    "cab.steering-play.play": ("at most", None, "10", "degree", ("10", "10"), MANUAL, "2.1.3"),
    # manual 11.1.2: about 5 mph
    "cab.service-brake.speed": ("about", "5", None, "mph", ("3", "7"), MANUAL, "11.1.2"),
    # manual 11.1.1: 1/2 to 3/4 in of play; DEF above 1/8
    "engine.alternator.snug": ("at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    "engine.water-pump.snug": ("at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    "engine.air-compressor.snug": ("at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    "engine.power-steering-pump.snug": ("at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    "cab.def-gauge.level": ("above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    "left-side.def-tank.level": ("above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    "right-side.def-tank.level": ("above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    # manual figure 2.5 and 2.1.5: idling 5 to 20 psi, running 35 to 75 psi
    "cab.oil-pressure.reading": ("between", "35", "75", "psi", ("5", "75"), MANUAL, "2.1.5"),
    # common practice, no source
    "cab.water-temperature.reading": ("about", "190", None, "F", ("160", "220"), HABIT, ""),
    "cab.oil-temperature.reading": ("about", "200", None, "F", ("160", "250"), HABIT, ""),
    "cab.air-gauge.reading": ("about", "120", None, "psi", ("100", "140"), HABIT, ""),
    "cab.voltmeter.reading": ("between", "12", "14", "V", ("12", "15"), HABIT, ""),
    "cab.first-aid-kit.units": ("at least", "24", None, "unit", ("24", "24"), HABIT, ""),
    # Maryland COMAR 11.19.03.24: a five-pound extinguisher
    "cab.fire-extinguisher.size": ("at least", "5", None, "lb", ("5", "20"), "Maryland COMAR 11.19.03.24", ""),
}  # fmt: skip

# lamp or reflector: color by 49 CFR 393.11 Table 1 (rear clearance lamps: manual 11.1.2)
COLOURS = {
    "front.clearance-lamps": {"amber"}, "left-side.side-marker-lamps": {"amber"},
    "right-side.side-marker-lamps": {"amber"}, "rear.clearance-lamps": {"red"},
    "front.headlights": {"white"}, "front.turn-signals": {"amber", "red"},
    "left-side.turn-signals": {"amber", "red"}, "right-side.turn-signals": {"amber", "red"},
    "rear.turn-signals": {"amber", "red"}, "front.four-way-flashers": {"amber", "red"},
    "rear.four-way-flashers": {"amber", "red"}, "rear.tail-lamps": {"red"},
    "rear.brake-lamps": {"red"}, "rear.backing-lamps": {"white"},
    "left-side.reflectors": {"amber"}, "right-side.reflectors": {"amber"},
    "rear.reflectors": {"red"}, "front.lenses": {"amber"}, "left-side.lenses": {"amber"},
    "right-side.lenses": {"amber"}, "rear.lenses": {"red"},
}  # fmt: skip


def requirements(*lists: Checklist) -> list[Requirement]:
    return [r for checklist in lists for item in checklist.items for r in item.requirements]


def item(checklist: Checklist, item_id: str) -> Item:
    return next(found for found in checklist.items if found.id == item_id)


def exact(value: str | None) -> Fraction | None:
    return None if value is None else Fraction(value)


@pytest.mark.parametrize("name", LIMITS)
def test_each_limit_equals_its_source(name: str, classic: Checklist, modern: Checklist) -> None:
    comparator, low, high, unit, accept, title, section = LIMITS[name]
    found = [r for r in requirements(classic, modern) if r.id == name]
    assert found
    for requirement in found:
        limit = requirement.limit
        assert limit is not None
        assert (limit.comparator, limit.unit) == (comparator, unit)
        assert (limit.low, limit.high) == (exact(low), exact(high))
        assert (limit.accept_low, limit.accept_high) == (exact(accept[0]), exact(accept[1]))
        named = [(b.title, b.section) for b in requirement.basis]
        assert any(t == title and s.startswith(section) for t, s in named), named


def test_no_limit_is_left_unchecked(classic: Checklist, modern: Checklist) -> None:
    assert {r.id for r in requirements(classic, modern) if r.limit} == set(LIMITS)


def test_lamp_colours(classic: Checklist, modern: Checklist) -> None:
    seen = set()
    for checklist in (classic, modern):
        for found in checklist.items:
            for requirement in found.requirements:
                if requirement.id.endswith(".colour"):
                    seen.add(found.id)
                    assert set(requirement.concepts) == COLOURS[found.id], found.id
    assert seen == set(COLOURS)


def test_emergency_equipment_is_three_triangles_six_fusees_or_three_flares(
    classic: Checklist,
) -> None:
    """49 CFR 393.95(f). Spare fuses are something else and may not earn it."""
    (number,) = [r for r in item(classic, "cab.warning-devices").requirements if r.required]
    slots = [pattern.split() for pattern in number.patterns]
    counts = {}
    for slot in slots:
        for kind in slot[1].replace("+device", "").split("|"):
            counts.setdefault(kind.rstrip("s"), set()).update(slot[0].split("|"))
    assert counts["triangle"] == {"three", "3"}
    assert counts["fusee"] == {"six", "6"}
    assert counts["flare"] == {"three", "3"}
    assert "fuse" not in counts
    assert not number.concepts, "any set of triangles would do"


# item: short ids of what must be said, from the row of docs/sources.md named beside it
MUST_SAY = {
    "cab.fire-extinguisher": {"charged", "secure"},  # C8; rating optional, 5 B:C of 393.95(a)
    "cab.safety-belt": {"secure", "adjusts", "latches", "undamaged"},  # C13
    "front-axle.steering-box": {"secure", "leak", "complete"},  # S1
    "front-axle.steering-linkage": {"undamaged", "secure", "complete"},  # S2
    "front-axle.brake-chamber": {"leak", "undamaged", "secure"},  # B2
    "front-axle.brake-hoses": {"undamaged", "leak", "secure"},  # B3
    "front-axle.lug-nuts": {"complete", "tight", "undamaged"},  # W6
    "front-axle.tyre-inflation": {"pressure", "gauge"},  # W4
    "right-side.fuel-tank": {"secure", "cap", "leak"},  # D2
    "left-side.stop-arm": {"secure", "undamaged", "extends", "lamps"},  # B-5
    "front.crossover-mirrors": {"adjusted", "undamaged", "secure", "clean"},  # B-4
    "rear.emergency-door": {"undamaged", "smooth", "latches", "both-sides"},  # B-12
    "passenger.seats": {"frames", "floor", "cushions"},  # B-15
    "air-brake.leak": {"pedal", "minute", "loss"},  # AB-2
    "air-brake.warning": {"fan", "warns", "pressure"},  # AB-3
}


@pytest.mark.parametrize("name", MUST_SAY)
def test_what_must_be_said(name: str, classic: Checklist) -> None:
    found = item(classic, name)
    assert {r.id.removeprefix(f"{name}.") for r in found.requirements if r.required} == MUST_SAY[
        name
    ]


# The modernized list in its printed order, as parts; 11M, school bus with air brakes
MODERN_PARTS = [
    "air-brake.leak", "cab.parking-brake", "cab.service-brake", "cab.left-turn-indicator",
    "cab.warning-devices", "cab.windshield", "cab.wipers", "cab.heater", "cab.horn",
    "entrance.entry-door", "right-side.lift", "rear.emergency-door", "passenger.seats",
    "cab.inside-student-mirror", "front.red-warning-lamps", "rear.red-warning-lamps",
    "left-side.stop-arm", "front.crossing-arm", "cab.first-aid-kit", "cab.body-fluid-kit",
    "front.headlights", "front.lenses", "engine.oil-level", "engine.leaks",
    "front-axle.steering-box", "front-axle.tyre-tread", "front-axle.rim", "front-axle.lug-nuts",
    "front-axle.springs", "front-axle.brake-hoses", "front-axle.brake-contaminants",
    "left-side.lenses", "left-side.outside-mirrors", "left-side.battery", "left-side.fuel-tank",
    "left-side.def-tank", "under.frame", "rear.lenses", "rear.reflectors",
]  # fmt: skip
# Printed for the classic test only
CLASSIC_ONLY = [
    "engine.alternator", "cab.oil-pressure", "cab.water-temperature", "cab.voltmeter",
    "cab.safe-start", "cab.safety-belt", "front-axle.slack-adjuster", "front-axle.brake-chamber",
    "front-axle.brake-drum", "front-axle.brake-linings", "front-axle.hub-seal",
    "rear-axle.dual-spacing", "left-side.driver-door", "under.drive-shaft", "under.exhaust",
    "rear-axle.mud-flaps",
]  # fmt: skip


def test_the_two_editions_differ_as_printed(classic: Checklist, modern: Checklist) -> None:
    in_classic = {found.id for found in classic.items}
    in_modern = {found.id for found in modern.items}
    assert set(MODERN_PARTS) <= in_modern
    assert set(CLASSIC_ONLY) <= in_classic
    assert not set(CLASSIC_ONLY) & in_modern
    assert not {i for i in in_modern if i.startswith("rear-axle.")}, "one steering axle only"


@pytest.mark.parametrize("name", ["classic", "modern"])
def test_shape_of_the_shipped_lists(
    name: str, request: pytest.FixtureRequest, air_bus: VehicleProfile
) -> None:
    checklist: Checklist = request.getfixturevalue(name)
    assert checklist.budget_s == 30 * 60 == sum(s.budget_s for s in checklist.sections)
    for found in checklist.items:
        required = [r for r in found.requirements if r.required]
        assert found.why.endswith("."), found.id
        assert found.why.count(".") == 1, "one plain sentence"
        assert required
        assert found.names
    steps = [i for i in checklist.items if i.step]
    assert [i.id.removeprefix("air-brake.") for i in steps] == [
        "charge", "engine-off", "release", "leak", "warning", "pop-out",
    ]  # fmt: skip
    assert all(i.critical for i in steps)
    fitted = applicable(checklist, air_bus)
    most = max(sum(r.required for r in i.requirements) for i in fitted.items)
    assert most <= 4


def test_the_classic_list_covers_a_whole_bus(classic: Checklist, air_bus: VehicleProfile) -> None:
    fitted = applicable(classic, air_bus)
    assert 105 <= len(fitted.items) <= 130
    assert {p.id for p in classic.places} == {i.place for i in fitted.items}


CAUTIONS = {
    "engine.coolant": "hot", "air-brake.release": "chocked", "front-axle.slack-adjuster": "chocked",
    "under.frame": "crawl", "under.exhaust": "hot",
}  # fmt: skip


@pytest.mark.parametrize("name", CAUTIONS)
def test_what_can_hurt_carries_its_caution(name: str, classic: Checklist) -> None:
    assert CAUTIONS[name] in item(classic, name).caution


@pytest.mark.parametrize(
    "words", ["hot cooling", "chock the wheels", "not supported", "report it", "state's manual"]
)
def test_the_usual_cautions_stand_on_every_list(
    words: str, classic: Checklist, modern: Checklist
) -> None:
    for checklist in (classic, modern):
        assert any(words in caution for caution in checklist.cautions)


def test_no_pass_mark_is_claimed(root: Path) -> None:
    texts = [*reference_folder().rglob("*.yaml"), root / "docs/sources.md"]
    for path in texts:
        text = path.read_text("utf-8").casefold()
        assert "passing score" not in text
        assert "guarantee" not in text


def cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip().strip("|").split("|")]


@pytest.fixture(scope="module")
def page(root: Path) -> str:
    return (root / "docs/sources.md").read_text("utf-8")


@pytest.fixture(scope="module")
def documented(page: str) -> dict[str, set[str]]:
    """Row id -> source ids, from the tables under Rows."""
    part = page.split("\n## Rows\n")[1].split("\n## Sources\n")[0]
    rows = [cells(line) for line in part.splitlines() if line.startswith("| ")]
    return {
        row[0]: set(re.findall(r"`([^`]+)`", row[3]))
        for row in rows
        if row[0] != "row" and len(row) == 4
    }


@pytest.fixture(scope="module")
def used() -> dict[str, set[str]]:
    """Row id -> source ids, from the shipped files."""
    rows: dict[str, set[str]] = {}
    for name in list_checklists():
        for found in resolve_items(gather(reference_folder() / f"{name}.yaml")):
            default = set(found.entry.basis or ())
            rows.setdefault(found.entry.row or "", set()).update(default)
            for asked in found.requirements:
                row = asked.entry.row or found.entry.row or ""
                rows.setdefault(row, set()).update(asked.entry.basis or default)
    return rows


def test_every_row_used_is_documented_and_no_other(
    documented: dict[str, set[str]], used: dict[str, set[str]]
) -> None:
    assert len(used) > 90
    assert set(documented) == set(used)


def test_every_row_names_the_sources_it_rests_on(
    documented: dict[str, set[str]], used: dict[str, set[str]]
) -> None:
    assert {row: documented[row] ^ used[row] for row in used if documented[row] != used[row]} == {}


def test_the_table_of_sources_is_that_of_the_files(page: str) -> None:
    part = page.split("\n## Sources\n")[1].split("\n## Where")[0]
    rows = [cells(line) for line in part.splitlines() if line.startswith("| `")]
    written = {row[0].strip("`"): tuple(row[1:]) for row in rows}
    files = yaml.safe_load((reference_folder() / "sources.yaml").read_text("utf-8"))["sources"]
    assert written == {k: (v["title"], v["section"], v["standing"]) for k, v in files.items()}


def test_every_source_is_used(used: dict[str, set[str]]) -> None:
    files = yaml.safe_load((reference_folder() / "sources.yaml").read_text("utf-8"))["sources"]
    assert set().union(*used.values()) == set(files)


def test_every_requirement_has_a_basis_and_a_row(classic: Checklist, modern: Checklist) -> None:
    for requirement in requirements(classic, modern):
        assert requirement.basis, requirement.id
        assert requirement.row, requirement.id
        assert requirement.says, requirement.id


def test_the_format_page_lists_every_concept_and_unit(root: Path) -> None:
    page = (root / "docs/checklist-format.md").read_text("utf-8")
    table = page.split("\n## Concepts\n")[1].split("\n## ")[0]
    listed = {
        word
        for line in table.splitlines()
        if line.startswith("| ") and not line.startswith("| id")
        for word in re.findall(r"[a-z_]+", cells(line)[0])
    }
    assert listed == CONCEPTS
    units = page.split("Units: `")[1].split("`")[0].split()
    assert tuple(units) == UNITS


def test_the_lexicon_knows_every_concept_and_no_other(root: Path) -> None:
    lexicon = root / "walkgrade/language/data/conditions.yaml"
    assert set(yaml.safe_load(lexicon.read_text("utf-8"))["concepts"]) == CONCEPTS


def test_every_concept_of_the_table_is_asked_for_somewhere(
    classic: Checklist, modern: Checklist
) -> None:
    asked = {concept for r in requirements(classic, modern) for concept in r.concepts}
    assert asked == CONCEPTS
