"""Spoken number forms, good and bad rows together: digit by digit, bare hundreds, shares, ranges.

A row holds every number of the line, each with all its readings as ``low[-high] unit``.
"""

from __future__ import annotations

import pytest
from language_lines import tokens_of

from walkgrade.language.numbers import find_numbers


def readings(text: str) -> list[str]:
    """The readings of every number of the line, those of one number parted by "|"."""
    tokens = tokens_of(text)
    found = find_numbers([t.norm for t in tokens], [t.breaks for t in tokens])
    return [
        "|".join(
            f"{r.low}{'' if r.low == r.high else f'-{r.high}'} {r.unit}".strip()
            for r in mention.readings
        )
        for mention in found
    ]


DIGIT_BY_DIGIT = [
    ("cut out at one-two-eight", ["128"]),
    ("kicked in at niner-zero", ["90"]),
    ("must be before five-five", ["55|5/32 in"]),
    ("it went at three-eight", ["38|3/8 in"]),
    ("two-four unit kit", ["24 unit"]),
    ("between one-two-zero and one-four-zero", ["120-140"]),
    ("one-oh-five", ["105"]),
    ("two zero zero", ["200"]),
    ("it reads one three two", ["132"]),
    ("one, two, three, clear", ["1", "2", "3"]),
    ("one two three", ["1", "2", "3"]),
    ("count three two one", ["3", "2", "1"]),
    ("check one two", ["1", "2"]),
    ("eight, eight, eight", ["8", "8", "8"]),
    ("six, five", ["6", "5"]),
    ("two four thirty-seconds", ["2", "1/8 in"]),
    ("number five five five one", ["5", "5", "5", "1"]),
]
BARE_HUNDRED = [
    ("hundred twenty", ["120"]),
    ("it stops at hundred thirty two", ["132"]),
    ("to the hundred ninety", ["190"]),
    ("its hundred and twenty", ["120"]),
    ("it shows hundred", ["100"]),
    ("a hundred and five", ["105"]),
    ("two hundred", ["200"]),
    ("one hundred twenty, eight point three bar", ["120", "83/10"]),
    ("one ten... one twenty... one twenty two", ["110", "120", "122"]),
    ("one eighty, one ninety", ["180", "190"]),
    ("hundreds of rivets", []),
]
MISTAKEN = [
    ("thirteen point it, so it charges", ["69/5"]),
    ("fourteen point to", ["71/5"]),
    ("cut out at one twenty-hit", ["128"]),
    ("these have mine", ["9"]),
    ("and I have mine, so nobody slides", ["9"]),
    ("it popped around third it should", ["30"]),
    ("pull it with the brakes off and inch max", ["1 in"]),
    ("the gauge says more than than eighth", ["1/8"]),
    ("it has to be more than eighth", ["1/8"]),
    ("at third gear", []),
    ("I have mine on the truck", []),
    ("point it out", []),
    ("the twenty it holds", ["20"]),
    ("and inch by inch", []),
]
"""What recognisers write where only a number can stand (language/mistaken.py)."""
PARTED = [
    ("one twenty-three and a half", ["247/2"]),
    ("a hundred and a half", ["100", "1/2"]),
]
IS = [
    ("four's the floor", ["4"]),
    ("forget forty, fifty-five's the number", ["40", "55"]),
    ("an eighth's the least", ["1/8"]),
    ("fifty-one's fine", ["51"]),
    ("30's plenty", ["30"]),
    ("this one's loose", []),
    ("it has 4/32's", ["1/8 in"]),
    ("a second's wait", []),
]
SHARES = [
    ("four by thirty-two", ["1/8 in"]),
    ("four upon thirty-two or greater", ["1/8 in"]),
    ("niner-slash-thirty-two", ["9/32 in"]),
    ("eight over thirty-two", ["1/4 in"]),
    ("one by eight", ["1/8"]),
    ("two by four timber", ["2", "4"]),
    ("thirteen rows by two", ["13", "2"]),
    ("one tenth", ["1/10"]),
    ("at a tenth", ["1/10"]),
    ("one sixteenth", ["1/16 in|1/16"]),
    ("six of thirty two", ["3/16 in"]),
    ("one of four", ["1", "4"]),
    ("eight millimetre", ["8 mm"]),
    ("three sixteen", ["316|3/16 in"]),
    ("one eight inch", ["1/8 in|18 in"]),
    ("one sixteen psi", ["116 psi|1/16 in"]),
    ("one thirty-two", ["132|1/32 in"]),
    ("three thirty-two", ["3/32 in"]),
    ("nine sixteen", ["916|9/16 in"]),
    ("less than three quarters of an inch", ["3/4 in"]),
]
MIXED = [
    ("an inch and a half", ["3/2 in"]),
    ("one inch and half", ["3/2 in"]),
    ("an inch and a quarter", ["5/4 in"]),
    ("inch and a half", ["3/2 in"]),
    ("three quarter inch to an inch and a half", ["3/4-3/2 in"]),
    ("two and a half", ["5/2"]),
    ("a deuce and a half", ["5/2"]),
    ("four and a half, uh, thirty-seconds", ["9/64 in"]),
    ("four and a half thirty-seconds", ["9/64 in"]),
    ("one inch and two hoses", ["1 in", "2"]),
    ("an inch and a hammer", ["1 in"]),
    ("three pounds and a half", ["7/2 lb"]),
    ("a pound and a half", ["3/2 lb"]),
    ("one psi and a quarter", ["5/4 psi"]),
]
DECIMALS = [
    ("thirteen nine", ["139/10"]),
    ("thirteen point nine volts", ["139/10 V"]),
    ("twelve five", ["25/2"]),
    ("thirteen, nine", ["13", "9"]),
    ("ten four", ["10", "4"]),
    ("thirteen four thirty-seconds", ["13", "1/8 in"]),
    ("sixty seconds", ["60 s|1 min"]),
    ("two minutes", ["2 min"]),
    ("I hold it the full minute", ["1 min"]),
    ("a whole minute", ["1 min"]),
    ("whole minute", ["1 min"]),
    ("ninety seconds", ["90 s"]),
    ("I lost none", ["0"]),
    ("none is bent", []),
]
RANGES = [
    ("oil forty, forty-five", ["40-45"]),
    ("it stops at one twenty, one forty", ["120-140"]),
    ("it pops twenty, forty-five", ["20-45"]),
    ("eighty, one hundred, one twenty", ["80", "100", "120"]),
    ("one hundred, one fifteen", ["100", "115"]),
    ("fifty, fifty-five, sixty", ["50", "55", "60"]),
    ("who'll give one twenty, one twenty-five", ["120", "125"]),
    ("forty-five, forty, thirty-five", ["45", "40", "35"]),
    ("forty, fifty, sixty", ["40", "50", "60"]),
    ("'twixt twenty and forty-five", ["20-45"]),
    ("a half inch, perhaps three quarters, and so it does", ["1/2-3/4 in"]),
    ("don't give but a half, three quarters of an inch", ["1/2-3/4 in"]),
    ("it gives half an inch, three quarters would be the most", ["1/2 in", "3/4"]),
    ("half inch, three quarters is the limit", ["1/2 in", "3/4"]),
    ("moves half inch, up to three-quarter is allowed", ["1/2 in", "3/4"]),
    ("half inch, up to three quarters of an inch", ["1/2-3/4 in"]),
    ("half an inch, three quarters tops", ["1/2-3/4 in"]),
    ("gives me a half inch, three quarters at the outside", ["1/2-3/4 in"]),
    ("half an inch of give in the middle, three quarters tops", ["1/2-3/4 in"]),
    ("about half an inch when I push, maybe five-eighths", ["1/2-5/8 in"]),
    ("half an inch, might be three quarters", ["1/2-3/4 in"]),
    ("half an inch on the belt the pad has a quarter", ["1/2 in", "1/4"]),
    ("wiggles an inch, an inch and a half", ["1-3/2 in"]),
    ("going to a hundred and twenty, one thirty", ["120-130"]),
    ("one ten, one twenty, one thirty", ["110", "120", "130"]),
    ("up to, oh, a hundred and twenty, hundred and forty", ["120-140"]),
    ("I got six, six and a half", ["6-13/2"]),
    ("this one's got like seven, eight", ["7-8"]),
    ("inch on the rod, same rule", ["1 in"]),
    ("nothing loose or missing, inch", ["1 in"]),
    ("the inch marks are worn", []),
    ("inch, inch and a half, I lift pianos", ["1-3/2 in"]),
    ("twenty to forty, forty-five", ["20-45"]),
    ("twenty to forty, sixty is the buzzer", ["20-40", "60"]),
    ("builds to a hundred and, a hundred and twenty", ["120"]),
    ("a hundred and twenty, a hundred and thirty", ["120", "130"]),
    ("fours up front, twos behind", ["4|1/8 in", "2|1/16 in"]),
    ("they come in twos", []),
    ("the volts I can't read, twelve, thirteen", ["12-13"]),
    ("ten, eleven, twelve, so thirteen steps", ["10", "11", "12", "13"]),
    ("roll at six, seven miles an hour", ["6-7 mph"]),
    ("I lost one, maybe one and a half, so", ["1-3/2"]),
    ("I see six, seven lamps", ["6", "7"]),
    ("one, two and three", ["1", "2", "3"]),
    ("inside one twenty, one forty", ["120-140"]),
    ("within one-twenty and one-forty", ["120-140"]),
    ("within one minute and two pounds", ["1 min", "2 lb"]),
    ("from one-twenty up to one-forty", ["120-140"]),
    ("forty-five up to sixty", ["45-60"]),
    ("air goes up to sixty", ["60"]),
    ("greater than or equal to one hundred and twenty and less than one forty", ["120-140"]),
    ("more than sixty and less than three", ["60", "3"]),
    ("at least 4/32 and less than 3 psi", ["1/8 in", "3 psi"]),
    ("twelve is less than V, V is less than fourteen", ["12-14"]),
    ("less than three quarters", ["3/4"]),
    ("not before one two zero and not after one four zero", ["120-140"]),
    ("no lower than one-twenty, no higher than one-forty", ["120-140"]),
    ("one-twenty until one-forty", ["120-140"]),
    ("sixty until forty", ["60", "40"]),
    ("between one hundred and, oh, one forty", ["100-140"]),
    ("one ninety, volts thirteen", ["190", "13"]),
    ("one ninety degrees, volts thirteen", ["190 degree", "13"]),
]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [*DIGIT_BY_DIGIT, *BARE_HUNDRED, *MISTAKEN, *PARTED, *IS, *SHARES, *MIXED, *DECIMALS, *RANGES],
)
def test_numbers_of_a_line(text: str, wanted: list[str]) -> None:
    assert readings(text) == wanted


@pytest.mark.parametrize(
    ("text", "comparator"),
    [
        ("within one-twenty and one-forty", "between"),
        ("inside one twenty, one forty", "between"),
        ("no more than half to three quarters of an inch", "at most"),
        ("within one minute", "at most"),
    ],
)
def test_comparator_of_a_range(text: str, comparator: str) -> None:
    tokens = tokens_of(text)
    (mention,) = find_numbers([t.norm for t in tokens], [t.breaks for t in tokens])
    assert mention.readings[0].comparator == comparator
