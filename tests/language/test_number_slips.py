"""Numbers that a recogniser writes otherwise, short spoken forms, and words that are no number."""

from __future__ import annotations

from fractions import Fraction

import pytest
from language_lines import norms_of
from number_lines import bug, found, one

from walkgrade.language.digits import digit_value
from walkgrade.language.numbers import find_numbers


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("for 30 seconds", [("30", "s"), ("1/8", "in")]),
        ("to 30 seconds", [("30", "s"), ("1/16", "in")]),
        ("fore thirty seconds", [("30", "s"), ("1/8", "in")]),
        ("at least for 30 seconds", [("30", "s"), ("1/8", "in")]),
        ("for 32 seconds", [("32", "s"), ("1/8", "in")]),
        ("for thirty two", [("32", ""), ("1/8", "in")]),
        ("look for thirty-two psi", [("32", "psi"), ("1/8", "in")]),
        ("two thirty seconds", [("1/16", "in")]),
        ("2/30 seconds", [("1/16", "in")]),
        ("430 seconds", [("1/8", "in")]),
        ("230 seconds", [("1/16", "in")]),
        ("432nds", [("1/8", "in")]),
        ("432", [("432", ""), ("1/8", "in")]),
        ("30 seconds", [("30", "s")]),
        ("for 60 seconds", [("60", "s"), ("1", "min")]),
        ("for 20 seconds", [("20", "s")]),
        ("530 seconds", [("530", "s")]),
        ("120", [("120", "")]),
        ("4:30 seconds", [("1/8", "in")]),
        ("4.30 seconds", [("1/8", "in")]),
        ("4.32nds of an inch", [("1/8", "in")]),
        ("11.32nds", [("11/32", "in")]),
        ("4.32 volts", [("108/25", "V")]),
        ("at 1.25", [("5/4", ""), ("125", "")]),
        ("0.60 psi", [("3/5", "psi"), ("60", "psi")]),
        ("1.25 inches", [("5/4", "in")]),
        ("over an eight", [("1/8", "")]),
        ("8th of an inch", [("1/8", "in")]),
    ],
)
def test_slips_of_the_recogniser_keep_both_readings(
    text: str, readings: list[tuple[str, str]]
) -> None:
    (mention,) = found(text)
    assert [(str(r.low), r.unit) for r in mention.readings] == readings
    assert all(r.low == r.high for r in mention.readings)


def test_both_readings_carry_the_comparator() -> None:
    (mention,) = found("tread no less than for 30 seconds")
    assert [r.comparator for r in mention.readings] == ["at least", "at least"]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("one-oh-five", 105),
        ("one oh five psi", 105),
        ("one twenty", 120),
        ("one twenty-five", 125),
        ("one fifteen", 115),
        ("two ten degrees", 210),
        ("a hundred", 100),
        ("a hundred and twenty", 120),
        ("one hundred five", 105),
        ("zero", 0),
    ],
)
def test_short_spoken_forms(text: str, value: int) -> None:
    assert one(text)[0] == str(value)


@pytest.mark.parametrize(
    "text",
    [
        "no number here",
        "in case of fire",
        "a second look at the belt",
        "the second mirror",
        "hold on for a while",
        "oil and grease",
        "to the right",
        "",
        bug("quarter panel", why="'quarter' alone is always 1/4"),
    ],
)
def test_no_number_where_none_is_said(text: str) -> None:
    assert find_numbers(norms_of(text) if text else []) == ()


@pytest.mark.parametrize("text", ["this one is tight", "the other one", "one of them"])
def test_a_pronoun_stays_a_bare_number(text: str) -> None:
    """Which "one" is a pronoun only the talk around it tells; matching drops those."""
    assert one(text) == ("1", "1", "", "")


@pytest.mark.parametrize(
    ("word", "value"),
    [
        ("120", Fraction(120)),
        ("1,200", Fraction(1200)),
        ("0.5", Fraction(1, 2)),
        (".5", Fraction(1, 2)),
        ("4/32", Fraction(1, 8)),
        ("4/32nds", Fraction(1, 8)),
        ("3/16ths", Fraction(3, 16)),
        ("4/0", None),
        ("", None),
        (".", None),
        ("1.2.3", None),
        ("12a", None),
        ("4:30", None),
        ("-3", None),
    ],
)
def test_digit_value(word: str, value: Fraction | None) -> None:
    assert digit_value(word) == value
