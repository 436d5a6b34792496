# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""A school's own sheet becomes a checklist, and comes back as the same rows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from walkgrade.checklists.concepts import CONCEPTS
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import find_checklist, shipped_parts
from walkgrade.checklists.records import Checklist, Item
from walkgrade.checklists.sheet_cells import COLUMNS
from walkgrade.checklists.sheet_draft import Terms
from walkgrade.checklists.sheet_file import read_table, write_table
from walkgrade.checklists.sheet_in import Imported, import_sheet
from walkgrade.checklists.sheet_links import KnownPart, Sure, known_parts, link_part
from walkgrade.checklists.sheet_list import decisions_text
from walkgrade.checklists.sheet_out import sheet_rows, template_rows

Import = Callable[..., Imported]


@dataclass(frozen=True)
class Ear:
    concepts: tuple[str, ...]


# A stand-in for the grader's ear (tests/language/test_plain.py has the real one).
WORDS = {
    "secure": "secure",
    "leak": "no_leak",
    "frayed": "no_fray",
    "snug": "snug",
    "works": "works",
    "full": "level",
}


def hear(text: str) -> Ear:
    return Ear(tuple(concept for word, concept in WORDS.items() if word in text))


@pytest.fixture(scope="module")
def parts() -> tuple[KnownPart, ...]:
    return known_parts(shipped_parts())


@pytest.fixture
def imported(tmp_path: Path, classic: Checklist, parts: tuple[KnownPart, ...]) -> Import:
    def run(text: str | Path, **more: object) -> Imported:
        path = text if isinstance(text, Path) else tmp_path / "sheet.csv"
        if isinstance(text, str):
            path.write_text(text, encoding="utf-8")
        terms = Terms(id="ours", title="Ours", like=classic, parts=parts, hear=hear)
        return import_sheet(read_table(path), replace(terms, **more))

    return run


def item(checklist: Checklist, item_id: str) -> Item:
    return next(found for found in checklist.items if found.id == item_id)


SHEET = """\
Section,Minutes,Place,Item,Say,Needed,Number,Of,Source
Under the hood,4,Under the hood,Oil level,between add and full,yes,,,Yard sheet / page 1 [published]
,,,Alternator,belt snug and not frayed,,,,Yard sheet / page 1 [published]
,,,,securely mounted,,,,
,,,Turbo hose,nobody home,,,,
Wheels,,Front axle,Tires (tread),at least 4/32 inch,yes,at least 4/32 in,tread depth,49 CFR 393.75 / (b) [published]
Inside,,In the bus,Tablet,tablet works,yes,,,
,,,,has its cable,no,,,
"""


def test_a_plain_sheet(imported: Import, classic: Checklist) -> None:
    made = imported(SHEET)
    ours = made.checklist
    assert [found.id for found in ours.items] == [
        "engine.oil-level", "engine.alternator", "engine.turbo-hose", "front-axle.tires-tread",
        "in-the-bus.tablet",
    ]  # fmt: skip
    oil = item(ours, "engine.oil-level")
    assert {"oil level", "engine oil"} <= set(oil.names), "names of the known part"
    assert oil.requirements[0].concepts == ("level",)
    assert oil.requirements[0].basis[0].title == "Yard sheet"
    assert item(ours, "engine.alternator").requirements[1].concepts == ("secure",)
    assert item(ours, "engine.turbo-hose").requirements[0].patterns == ("nobody home",)
    tread = item(ours, "front-axle.tires-tread").requirements[0].limit
    assert tread is not None
    assert (tread.low, tread.unit, tread.quantity) == (Fraction(4, 32), "in", "tread depth")
    assert [r.required for r in item(ours, "in-the-bus.tablet").requirements] == [True, False]
    assert ours.cautions == classic.cautions
    assert ours.profile_keys == classic.profile_keys
    engine = next(place for place in ours.places if place.id == "engine")
    assert (engine.title, "hood up" in engine.cues) == ("Under the hood", True)


def test_what_a_person_must_decide(imported: Import) -> None:
    made = imported(SHEET)
    asked = {(one.row, one.what): (one.sure, one.took) for one in made.decisions if one.asks}
    assert asked[5, "wording"] == (Sure.GUESS, "nobody home")
    assert asked[5, "names"] == (Sure.LIKELY, "turbo hose")
    assert asked[7, "place words"] == (Sure.LIKELY, "in the bus")
    assert asked[3, "conditions"][0] is Sure.LIKELY, "two conditions: any one would earn it"
    assert asked[4, "source"][1].startswith("School's own sheet")
    assert asked[6, "numbers that count"] == (Sure.LIKELY, "4/32 to 4/32")
    sure = {(one.row, one.what): one.took for one in made.decisions if not one.asks}
    assert sure[2, "conditions"].startswith("level (")
    assert sure[2, "known part"].startswith("oil-level")
    assert (2, "source") not in asked | sure, "what the sheet says is not asked again"
    text = decisions_text(made.decisions, "sheet.csv", "ours.yaml")
    assert "rows 4, 5, 7, 8: 4 rows without a source" in text
    assert "Any one of them earns it" in text
    assert "taken as sure" in text


def test_minutes_are_shared_out(imported: Import) -> None:
    whole = imported(SHEET, minutes=Fraction(20)).checklist
    assert [section.budget_s for section in whole.sections] == [240, 480, 480]
    assert whole.budget_s == 1200
    assert [s.budget_s for s in imported(SHEET).checklist.sections] == [240, 30, 30]


def test_what_is_filled_in_stays_and_the_second_round_changes_nothing(
    imported: Import, tmp_path: Path
) -> None:
    once = sheet_rows(imported(SHEET).checklist)
    written = read_table(
        write_table(tmp_path / "in.csv", [line.split(",") for line in SHEET.splitlines()])
    )
    for line, row in zip(written.lines, once[1:], strict=True):
        filled = dict(
            zip([cell.casefold() for cell in written.head.cells], line.cells, strict=False)
        )
        for name, cell in filled.items():
            assert not cell or dict(zip(COLUMNS, row, strict=True))[name] == cell
    for ending in (".csv", ".xlsx"):
        again = imported(write_table(tmp_path / f"again{ending}", once))
        assert sheet_rows(again.checklist) == once
        assert not [one for one in again.decisions if one.asks]


@pytest.mark.parametrize(
    "name", ["school-bus-air-classic", "school-bus-air-modern", "school-bus-air-california"]
)
@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_a_shipped_list_comes_back_whole(
    name: str, ending: str, imported: Import, tmp_path: Path
) -> None:
    shipped = find_checklist(name)
    rows = sheet_rows(shipped)
    again = imported(write_table(tmp_path / f"sheet{ending}", rows), like=shipped).checklist
    assert sheet_rows(again) == rows
    for old, new in zip(shipped.items, again.items, strict=True):
        assert replace(new, section=old.section) == old
    assert [s.budget_s for s in again.sections] == [s.budget_s for s in shipped.sections]
    assert [s.procedure for s in again.sections] == [s.procedure for s in shipped.sections]
    used = {found.place for found in shipped.items}
    assert {p.id: p for p in again.places} == {p.id: p for p in shipped.places if p.id in used}


def test_the_template_holds_no_rows_of_its_own(tmp_path: Path, imported: Import) -> None:
    rows = template_rows()
    assert rows[0] == list(COLUMNS)
    assert all(row[0].startswith("#") for row in rows[1:])
    filled = [[cell.removeprefix("# Example: ") for cell in row] for row in rows[2:]]
    made = imported(write_table(tmp_path / "t.xlsx", [rows[0], rows[1], *filled]))
    assert len(made.checklist.items) == 2


BAD = {
    "unknown column": ("Item,Say,Colour\nHorn,works,red\n", 1, "column 3", "no column is called 'Colour'"),
    "column twice": ("Item,Say,item\nHorn,works,Horn\n", 1, "item", "stands twice"),
    "no say": ("Item\nHorn\n", 1, "say", "no such column"),
    "cell without column": ("Item,Say\nHorn,works,loud\n", 2, "column 3", "stands below no column name"),
    "no item": ("Item,Say\n,works\n", 2, "item", "no item stands above"),
    "nothing to say": ("Item,Say,why\nHorn,,loud\n", 2, "say", "blank"),
    "unknown condition": ("Item,Say,Conditions\nHorn,works,wrks\n", 2, "concepts[0]", "did you mean works?"),
    "bad wording": ("Item,Say,Wording\nHorn,works,a||b\n", 2, "patterns[0]", "is no pattern"),
    "bad number": ("Item,Say,Number\nHorn,works,loud\n", 2, "number", "is no number"),
    "number left out of accept": ("Item,Say,Number,Accept\nHorn,works,at least 3 psi,4 to 5\n", 2, "limit.accept", "leaves out"),
    "accept alone": ("Item,Say,Accept\nHorn,works,4 to 5\n", 2, "accept", "without a number"),
    "bad minutes": ("Item,Say,Minutes\nHorn,works,soon\n", 2, "minutes", "is no number"),
    "minutes twice": ("Section,Item,Say,Minutes\nA,Horn,works,1\nA,Lamp,works,2\n", 3, "minutes", "keep one"),
    "why twice": ("Item,Say,Why\nHorn,works,So.\n,leak,Because.\n", 3, "why", "keep one"),
    "bad yes": ("Item,Say,Needed\nHorn,works,perhaps\n", 2, "needed", "neither yes nor no"),
    "only bonuses": ("Item,Say,Needed\nHorn,works,no\n", 2, "row", "nothing is required"),
    "bad rule": ("Item,Say,Only if\nHorn,works,horn\n", 2, "only if", "is no rule"),
    "disallowed word": ("Item,Say,Only if\nHorn,works,lift is blue\n", 2, "if_fitted.lift", "is not one of"),
    "bad standing": ("Item,Say,Source\nHorn,works,A [sure]\n", 2, "source", "is not one of"),
    "same as nothing": ("Item,Say,Same as\nHorn,works,cab.horn\n", 2, "carry_over", "no item 'cab.horn'"),
    "id twice": ("Item,Say,Item id\nHorn,works,cab.x\nLamp,works,cab.x\n", 3, "id", "stands twice"),
    "bad id": ("Item,Say,Item id\nHorn,works,Horn\n", 2, "id", "is no id"),
    "say id twice": ("Item,Say,Say id\nHorn,works,a\n,leak,a\n", 2, "row", "stands twice in one item"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_each_fault_names_its_row_and_column(name: str, imported: Import) -> None:
    text, row, column, says = BAD[name]
    with pytest.raises(FaultyFileError) as caught:
        imported(text)
    assert caught.value.code == "C08"
    found = [
        f for f in caught.value.faults if (f.line, f.path) == (row, column) and says in f.message
    ]
    assert found, caught.value
    assert found[0].file == "sheet.csv"


def test_all_faults_come_at_once(imported: Import) -> None:
    with pytest.raises(FaultyFileError) as caught:
        imported("Item,Say,Number,Needed\nHorn,works,loud,yes\nLamp,works,,perhaps\n")
    assert len(caught.value.faults) == 2


def test_a_new_thing_a_vehicle_may_have_is_asked(imported: Import) -> None:
    made = imported("Item,Say,Only if\nTablet,works,tablet is fitted or none\n")
    assert {rule.key: rule.values for rule in made.checklist.profile_keys}["tablet"] == (
        "fitted",
        "none",
    )
    assert any(one.what == "new thing a vehicle may have" for one in made.decisions if one.asks)


@pytest.mark.parametrize(
    ("title", "part", "sure"),
    [
        ("Oil level", "oil-level", Sure.SURE),
        ("Fire extinguishers", "fire-extinguisher", Sure.SURE),
        ("Engine oil dip sticks", "oil-level", Sure.LIKELY),
        ("Turbocharger boost sensor", None, None),
    ],
)
def test_links_to_known_parts(
    title: str, part: str | None, sure: Sure | None, parts: tuple[KnownPart, ...]
) -> None:
    link = link_part(title, (), parts)
    assert (link[0].id, link[1]) == (part, sure) if link else part is None


WORD = st.text("abcdefghijklmnop", min_size=1, max_size=6)
PHRASE = st.lists(WORD, min_size=1, max_size=3).map(" ".join)


@st.composite
def sheets(draw: st.DrawFn) -> list[list[str]]:
    """Rows of a sheet with every cell that a person may fill, filled soundly."""
    rows, used = [list(COLUMNS)], set()
    for section in draw(st.lists(PHRASE, min_size=1, max_size=3, unique=True)):
        minutes = str(draw(st.integers(1, 9)))
        for title in draw(st.lists(PHRASE, min_size=1, max_size=3, unique=True)):
            if (section, title) in used:
                continue
            used.add((section, title))
            place = draw(st.sampled_from(["Under the hood", "Yard gate", "Front axle"]))
            names = draw(st.lists(PHRASE, min_size=1, max_size=3, unique=True))
            bonus = False
            for n in range(draw(st.integers(1, 3))):
                bonus = bonus or (n > 0 and draw(st.booleans()))
                row = dict.fromkeys(COLUMNS, "")
                row |= {"section": section, "place": place, "item": title, "say": draw(PHRASE)}
                row |= {"minutes": minutes, "needed": "no" if bonus else "yes"}
                row |= {
                    "conditions": "; ".join(
                        draw(
                            st.lists(
                                st.sampled_from(sorted(CONCEPTS)),
                                min_size=1,
                                max_size=2,
                                unique=True,
                            )
                        )
                    )
                }
                row |= {"source": f"{draw(PHRASE)} / {draw(PHRASE)} [published]"}
                if n == 0:
                    row |= {"names": "; ".join(names), "why": draw(PHRASE), "row": draw(PHRASE)}
                    row |= {"critical": draw(st.sampled_from(["yes", ""]))}
                if draw(st.booleans()):
                    low = draw(st.integers(0, 99))
                    row |= {
                        "number": f"at least {low} psi",
                        "of": draw(PHRASE),
                        "accept": f"{low} to {low + 3}",
                    }
                rows.append([row[name] for name in COLUMNS])
                minutes = ""
    return rows


@settings(
    max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(rows=sheets(), ending=st.sampled_from([".csv", ".xlsx"]))
def test_what_is_filled_in_comes_back_in_the_same_rows(
    rows: list[list[str]], ending: str, tmp_path: Path, imported: Import
) -> None:
    again = sheet_rows(imported(write_table(tmp_path / f"x{ending}", rows)).checklist)
    assert len(again) == len(rows)
    for old, new in zip(rows, again, strict=True):
        for name, before, after in zip(COLUMNS, old, new, strict=True):
            assert not before or before == after, (name, old, new)
    twice = sheet_rows(imported(write_table(tmp_path / f"y{ending}", again)).checklist)
    assert twice == again
