"""Numbers as drivers say them: values and units, fractions, ranges, comparators.

Quantities and units are those of the limits in the shipped checklists. Numbers against num2words:
test_number_words.py; what recognisers make of numbers: test_number_slips.py.
"""

from __future__ import annotations

import pytest
from number_lines import bug, found, one

from walkgrade.checklists.records import UNITS, Checklist
from walkgrade.language.comparators import comparator_around
from walkgrade.language.numbers import find_numbers

UNIT_ROWS = [
    ("120 psi", "120", "psi"),
    ("120 P.S.I.", "120", "psi"),
    ("120 P S I", "120", "psi"),
    ("120psi", "120", "psi"),
    ("three pounds per square inch", "3", "psi"),
    ("3 pounds of air", "3", "psi"),
    ("three pounds of pressure", "3", "psi"),
    ("three pounds", "3", "lb"),
    ("a 5 lb bottle", "5", "lb"),
    ("5 miles an hour", "5", "mph"),
    ("five miles per hour", "5", "mph"),
    ("5mph", "5", "mph"),
    ("13.5 volts", "27/2", "V"),
    ("13v", "13", "V"),
    ("thirteen point five volts", "27/2", "V"),
    ("195 degrees fahrenheit", "195", "F"),
    ("ten degrees", "10", "degree"),
    ("one minute", "1", "min"),
    ("a minute", "1", "min"),
    ("sixty seconds", "60", "s"),
    ("thirty seconds", "30", "s"),
    ("six feet", "6", "ft"),
    ("15 percent", "15", "percent"),
    ("600 rpm", "600", "rpm"),
    ("24-unit kit", "24", "unit"),
    ("twenty-four units", "24", "unit"),
    ("an inch", "1", "in"),
    ("1.5 inches", "3/2", "in"),
    (".5 inch", "1/2", "in"),
    ("2inches", "2", "in"),
    ("three triangles", "3", ""),
    ("1,200 rpm", "1200", "rpm"),
]


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        *UNIT_ROWS,
        ("one full minute", "1", "min"),
        ("a full minute", "1", "min"),
        bug("point five inches", "1/2", "in", why="'point five' without a whole is read as 5"),
    ],
)
def test_value_and_unit(text: str, value: str, unit: str) -> None:
    assert one(text)[:3] == (value, value, unit)


def test_the_rows_cover_every_unit_that_a_limit_uses(classic: Checklist, modern: Checklist) -> None:
    used = {
        r.limit.unit
        for checklist in (classic, modern)
        for item in checklist.items
        for r in item.requirements
        if r.limit is not None
    }
    covered = {unit for _, _, unit in UNIT_ROWS}
    assert len(used) > 8
    assert used - {"fraction", "count"} <= covered  # these two are said without a unit word
    assert covered - {""} <= set(UNITS)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("4/32", "1/8", "in"),
        ("4/32nds", "1/8", "in"),
        ("4/32 of an inch", "1/8", "in"),
        ("four thirty-seconds of an inch", "1/8", "in"),
        ("four thirty seconds", "1/8", "in"),
        ("four thirty-second", "1/8", "in"),
        ("four thirty twos", "1/8", "in"),
        ("four 32nds", "1/8", "in"),
        ("4 32nds", "1/8", "in"),
        ("four over thirty-two", "1/8", "in"),
        ("four over 32", "1/8", "in"),
        ("three sixteenths", "3/16", "in"),
        ("3/16", "3/16", "in"),
        ("a quarter inch", "1/4", "in"),
        ("quarter of an inch", "1/4", "in"),
        ("one fourth of an inch", "1/4", "in"),
        ("half an inch", "1/2", "in"),
        ("a half inch", "1/2", "in"),
        ("an eighth of an inch", "1/8", "in"),
        ("1/8th of an inch", "1/8", "in"),
        ("one eighth", "1/8", ""),
        ("an eighth of a tank", "1/8", ""),
        ("half tank", "1/2", ""),
        ("1/8", "1/8", ""),
        ("one and a half inches", "3/2", "in"),
        ("one and three quarter inches", "7/4", "in"),
        ("1 3/4 inches", "7/4", "in"),
        ("two and 1/2 inches", "5/2", "in"),
        ("thirteen and a half volts", "27/2", "V"),
        ("an inch of travel", "1", "in"),
        ("an inch and a half", "3/2", "in"),
        ("1-1/2 inches", "3/2", "in"),
        ("4/32's", "1/8", "in"),
        ("one 32nd", "1/32", "in"),
        bug("a thirty-second of an inch", "1/32", "in", why="'a thirty second' is read as 30 s"),
        ("above the eighth mark", "1/8", ""),
        ("a good bit over the eighth", "1/8", ""),
    ],
)
def test_fractions(text: str, value: str, unit: str) -> None:
    assert one(text)[:3] == (value, value, unit)


@pytest.mark.parametrize(
    ("text", "low", "high", "unit"),
    [
        ("120 to 140 psi", "120", "140", "psi"),
        ("120-140 psi", "120", "140", "psi"),
        ("one twenty to one forty", "120", "140", ""),
        ("between 120 and 140 psi", "120", "140", "psi"),
        ("from 85 to 100 psi", "85", "100", "psi"),
        ("between 85 psi and 100 psi", "85", "100", "psi"),
        ("between about 20 and 45 psi", "20", "45", "psi"),
        ("85 pounds to 100 psi", "85", "100", "psi"),
        ("180 degrees to 220 degrees fahrenheit", "180", "220", "F"),
        ("12 through 14 volts", "12", "14", "V"),
        ("55 or 60", "55", "60", ""),
        ("half an inch to three quarters", "1/2", "3/4", "in"),
        ("half to three quarters of an inch", "1/2", "3/4", "in"),
        ("between a half and three quarters of an inch", "1/2", "3/4", "in"),
        ("half-inch to 3/4-inch", "1/2", "3/4", "in"),
        ("1/2 to 3/4 inch", "1/2", "3/4", "in"),
        ("one hundred to one hundred and twenty psi", "100", "120", "psi"),
        ("45 to 20 psi", "20", "45", "psi"),
        ("between one hundred and one hundred and twenty psi", "100", "120", "psi"),
        ("between one hundred and one twenty psi", "100", "120", "psi"),
        ("1/2-3/4 inch", "1/2", "3/4", "in"),
        ("between 20 or 45 psi", "20", "45", "psi"),
        ("from half inch until three quarter inch", "1/2", "3/4", "in"),
    ],
)  # fmt: skip
def test_ranges(text: str, low: str, high: str, unit: str) -> None:
    mention = found(text)[0].readings[0]
    assert (str(mention.low), str(mention.high), mention.unit) == (low, high, unit)
    assert mention.comparator == ("between" if low != high else "")


@pytest.mark.parametrize(
    "text",
    [
        "20 and 45 psi",  # no "between": two numbers
        "first 20 or 90 psi",  # an alternative this far apart is no range
        "85, 100 psi",
        "10 degrees or 2 inches",  # other units: two ways to say the steering play
        "no more than ten degrees, or two inches",
    ],
)
def test_two_numbers_are_no_range(text: str) -> None:
    mentions = found(text)
    assert len(mentions) == 2
    assert all(m.readings[0].low == m.readings[0].high for m in mentions)


@pytest.mark.parametrize(
    ("text", "comparator"),
    [
        ("at least 4/32", "at least"),
        ("a minimum of 4/32", "at least"),
        ("4/32 minimum", "at least"),
        ("4/32 or more", "at least"),
        ("4/32 of an inch or better", "at least"),
        ("60 psi or above", "at least"),
        ("no less than 4/32", "at least"),
        ("not less than 4/32", "at least"),
        ("can't be less than 4/32", "at least"),
        ("cannot be less than 4/32", "at least"),
        ("never less than 4/32", "at least"),
        ("not any less than 4/32", "at least"),
        ("should not drop below 60", "at least"),
        ("must not be under 60", "at least"),
        ("at or above 60", "at least"),
        ("no more than 3 psi", "at most"),
        ("not more than 3 psi", "at most"),
        ("shouldn't lose more than 3 psi", "at most"),
        ("shouldn't move any more than an inch", "at most"),
        ("more than three psi is forbidden", "at most"),
        ("more than three psi gone and you've failed", "at most"),
        ("less than 4/32 is too low", "at least"),
        ("less than 4/32 is not allowed", "at least"),
        ("more than three psi puts it out of service", "at most"),
        ("more than 4/32 is good", "above"),
        ("less than one inch out of the chamber", "below"),
        ("less than one inch is not too much", "below"),
        ("less than one inch doesn't fail", "below"),
        ("never more than 3 psi", "at most"),
        ("neither belt gives more than half an inch", "at most"),
        ("doesn't go above 140", "at most"),
        ("not over ten degrees", "at most"),
        ("does not exceed 3 psi", "at most"),
        ("mustn't exceed 3 psi", "at most"),
        ("I don't want it to go over 3 psi", "at most"),
        ("a maximum of 3 psi", "at most"),
        ("3 psi max", "at most"),
        ("3 psi or less", "at most"),
        ("3 psi at the most", "at most"),
        ("up to 3 psi", "at most"),
        ("within one minute", "at most"),
        ("more than an eighth", "above"),
        ("above 1/8", "above"),
        ("over an inch", "above"),
        ("greater than 4/32", "above"),
        ("less than 2/32", "below"),
        ("under 60 psi", "below"),
        ("below 60", "below"),
        ("about 55 psi", "about"),
        ("around 55 psi", "about"),
        ("approximately 120", "about"),
        ("exactly one minute", "exactly"),
        ("4/32", ""),
        ("for one minute", ""),
        ("nothing less than 4/32", "at least"),
        ("no more then 4/32", "at most"),
        ("less then 4/32", "below"),
        ("greater than or equal to 4/32", "at least"),
        ("deeper than 4/32", "above"),
        ("thinner than a quarter inch", "below"),
        ("not to exceed one inch", "at most"),
        ("can't go past one inch", "at most"),
        ("3 psi or lower", "at most"),
        bug("minimum tread depth of 4/32", "at least", why="words between hide the comparator"),
        bug("at the very least 4/32", "at least", why="not in the table"),
        bug("at least about 4/32", "at least", why="'about' next to the number wins"),
    ],
)
def test_comparators(text: str, comparator: str) -> None:
    assert one(text)[3] == comparator


@pytest.mark.parametrize(
    ("text", "comparators"),
    [
        ("it dropped two, and up to three is allowed", ["", "at most"]),
        ("five over thirty two, minimum for front is four over thirty two", ["", ""]),
        ("max is one forty and min is one twenty", ["at most", "at least"]),
        ("half an inch, no more, and an inch is law", ["at most", ""]),
    ],
)
def test_a_comparator_goes_with_its_own_number(text: str, comparators: list[str]) -> None:
    ends = [word[-1] == "," for word in text.split()]
    mentions = find_numbers(text.replace(",", "").split(), [False, *ends[:-1]])
    assert [mention.readings[0].comparator for mention in mentions] == comparators


@pytest.mark.parametrize(("halts", "comparator"), [((), "at most"), ((4,), "above")])
def test_a_refusal_turns_a_comparator_only_within_its_clause(
    halts: tuple[int, ...], comparator: str
) -> None:
    norms = ["more", "than", "three", "psi", "it", "failed", "once"]
    assert comparator_around(norms, 2, 4, halts)[0] == comparator


@pytest.mark.parametrize(
    ("breaks", "comparator"), [(("", "", ",", "", "", ""), "below"), ((), "at least")]
)
def test_a_negation_does_not_reach_over_punctuation(
    breaks: tuple[str, ...], comparator: str
) -> None:
    (mention,) = find_numbers(["no", "slop", "less", "than", "an", "inch"], breaks)
    assert mention.readings[0].comparator == comparator
