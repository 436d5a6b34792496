"""Cells of a school's sheet, read and written."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.checklists import sheet_cells as cells
from walkgrade.checklists.loader import build_limit
from walkgrade.checklists.records import Basis, Checklist, Standing
from walkgrade.checklists.schema import LimitEntry, parse_number

LIMITS = {
    ("at least 4/32 in", ""): ("at least", "4/32", None, "in", ["4/32", "4/32"]),
    ("≥ 4/32 inch", ""): ("at least", "4/32", None, "in", ["4/32", "4/32"]),
    ("not less than 4/32 inches", ""): ("at least", "4/32", None, "in", ["4/32", "4/32"]),
    ("at most 3 psi", "0 to 3"): ("at most", None, "3", "psi", ["0", "3"]),
    ("between 120 and 140 psi", ""): ("between", "120", "140", "psi", ["120", "140"]),
    ("120 to 140 psi", ""): ("between", "120", "140", "psi", ["120", "140"]),
    ("about 5 mph", "3 to 7"): ("about", "5", None, "mph", ["3", "7"]),
    ("1 1/2 in", ""): ("exactly", "1 1/2", None, "in", ["1 1/2", "1 1/2"]),
    ("3", ""): ("exactly", "3", None, "count", ["3", "3"]),
    ("below 130 psi", "85 to 130"): ("below", None, "130", "psi", ["85", "130"]),
    ("<2.5 V", "2"): ("below", None, "2.5", "V", ["2", "2"]),
    ("10°", ""): ("exactly", "10", None, "degree", ["10", "10"]),
}


@pytest.mark.parametrize("cell", LIMITS, ids=str)
def test_numbers_as_people_write_them(cell: tuple[str, str]) -> None:
    comparator, low, high, unit, accept = LIMITS[cell]
    wanted = {"quantity": "q", "comparator": comparator, "low": low, "high": high}
    wanted = {key: value for key, value in wanted.items() if value is not None}
    assert cells.limit_of(cell[0], "q", cell[1]) == {**wanted, "unit": unit, "accept": accept}


@pytest.mark.parametrize(
    ("number", "accept", "says"),
    [
        ("four", "", "is no number"),
        ("at least 4 furlongs", "", "unit 'furlongs' is not one of"),
        ("roughly 4 in", "", "does not say how the number binds"),
        ("at least 4 to 5 in", "", "does not say how the number binds"),
        ("between 5 psi", "", "does not say how the number binds"),
        ("4 in", "4 or 5", "is no range"),
        ("4/0 in", "", "is no number"),
        ("4/00 in", "", "is no number"),
        ("Apr-32", "", "looks like a date"),
        ("4 in", "1-May", "looks like a date"),
        ("4/1/2026", "", "looks like a date"),
    ],
)
def test_numbers_that_cannot_be_read(number: str, accept: str, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        cells.limit_of(number, "q", accept)


def test_every_limit_of_a_shipped_list_comes_back_as_it_was(classic: Checklist) -> None:
    seen = 0
    for item in classic.items:
        for requirement in item.requirements:
            if requirement.limit is not None:
                number, quantity, accept = cells.limit_cells(requirement.limit)
                entry = LimitEntry.model_validate(cells.limit_of(number, quantity, accept))
                assert build_limit(entry) == requirement.limit
                seen += 1
    assert seen > 20


@given(st.lists(st.text(st.characters(codec="ascii", categories=("L", "N", "P")), min_size=1)))
def test_entries_come_back_as_they_were(values: list[str]) -> None:
    values = [value.replace("\\", "/") for value in values]
    assert cells.entries(cells.joined(values)) == values


@given(st.fractions(min_value=0, max_value=400).map(lambda f: f.limit_denominator(64)))
def test_numbers_come_back_as_they_were(value: Fraction) -> None:
    assert parse_number(cells.number_text(value)) == value
    assert parse_number(cells.number_text(value, "tread depth")) == value


@given(st.integers(1, 20_000))
def test_minutes_come_back_as_they_were(seconds: int) -> None:
    assert parse_number(cells.minutes_text(Fraction(seconds, 60))) == Fraction(seconds, 60)


def test_rules_on_the_vehicle() -> None:
    assert cells.rules("lift is fitted; fuel is diesel or gas") == {
        "lift": ["fitted"],
        "fuel": ["diesel", "gas"],
    }
    for bad in ("lift", "lift is fitted; lift is none"):
        with pytest.raises(ValueError, match="is no rule"):
            cells.rules(bad)


@pytest.mark.parametrize(
    ("text", "basis"),
    [
        ("A / b [published]", Basis(title="A", section="b", standing=Standing.PUBLISHED)),
        ("A", Basis(title="A", section="not stated", standing=Standing.PRACTICE)),
        ("A / b / c", Basis(title="A", section="b / c", standing=Standing.PRACTICE)),
    ],
)
def test_sources(text: str, basis: Basis) -> None:
    assert cells.source_of(text) == basis
    assert cells.source_of(cells.source_text(basis)) == basis


def test_a_source_of_unknown_standing_is_refused() -> None:
    with pytest.raises(ValueError, match="standing 'certain' is not one of"):
        cells.source_of("A / b [certain]")


def test_column_names() -> None:
    assert cells.column_of(" Say_Only IF ") == "say only if"
    with pytest.raises(ValueError, match="did you mean 'section'"):
        cells.column_of("sektion")


@pytest.mark.parametrize("word", ["yes", "Y", "x", "1"])
def test_yes(word: str) -> None:
    assert cells.yes(word, False)
    assert cells.yes("", True)
    assert not cells.yes("no", True)
    with pytest.raises(ValueError, match="neither yes nor no"):
        cells.yes("perhaps", True)
