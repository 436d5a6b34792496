"""A bare number in talk of tread also reads in thirty-seconds; elsewhere it does not."""

from __future__ import annotations

import pytest
from language_lines import checklist, item, talk

from walkgrade.language.read import read

LIST = checklist(item("tyre", "tyre", "tire"), item("mirror", "mirror"))


def in_inches(*lines: str) -> list[str]:
    """The reading in inches of every number of the talk, "" where it has none."""
    numbers = [m for u in read(talk(*lines), LIST).utterances for m in u.numbers]
    return [next((str(r.low) for r in m.readings if r.unit == "in"), "") for m in numbers]


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        (["Nine thirty-seconds, and four's the floor for the front."], ["9/32", "1/8"]),
        (["Tread, two needed, got five."], ["1/16", "5/32"]),
        (["It says five.", "Five thirty-seconds.", "Got to have four."], ["5/32", "5/32", "1/8"]),
        (["Tread, a deuce and a half."], ["5/64"]),
        (["Groove says one."], ["1/32"]),
        (["The minimum is two, and the tread has six."], ["1/16", "3/16"]),
        (["Tread, need four.", "Both mirrors.", "Clean.", "Good.", "Got seven."], ["1/8", ""]),
        (["Tread's on all four of these tires."], [""]),
        (["Tread on the two of them."], [""]),
        (["Tread on this one."], [""]),
        (["Tread is fine on those two."], [""]),
        (["Tread, twenty-one."], [""]),
        (["Tread, gauge at 105 psi."], [""]),
        (["Tread, three months old."], [""]),
        (["Mirror, four screws."], [""]),
        (["Down three pounds, and three's the most."], ["", ""]),
    ],
)
def test_bare_numbers_in_talk_of_tread(lines: list[str], wanted: list[str]) -> None:
    assert in_inches(*lines) == wanted


def test_the_plain_reading_stays_first() -> None:
    (utterance,) = read(talk("Tread, at least four."), LIST).utterances
    plain, part = utterance.numbers[0].readings
    assert (str(plain.low), plain.unit, plain.comparator) == ("4", "", "at least")
    assert (str(part.low), part.unit, part.comparator) == ("1/8", "in", "at least")


@pytest.mark.parametrize(
    ("line", "wanted"),
    [("One eighty, one ninety.", ["180", "190"]), ("One eighty.", ["180"])],
)
def test_punctuation_parts_numbers(line: str, wanted: list[str]) -> None:
    (utterance,) = read(talk(line), LIST).utterances
    assert [str(m.readings[0].low) for m in utterance.numbers] == wanted


def test_idle_numbers_stay_idle() -> None:
    (utterance,) = read(talk("One eighty, or is it one ninety?"), LIST).utterances
    assert utterance.numbers
    assert all(m.idle for m in utterance.numbers)
