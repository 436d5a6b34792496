"""Digit texts and the slips recognisers make of "thirty-seconds".

Conventions: values are exact fractions.
Public: `digit_value`, `slip_fraction`, the word tables `ONES` and `TENS`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

ONES = {
    "zero": 0, "oh": 0, "one": 1, "two": 2, "deuce": 2, "niner": 9, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13,
    "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
_DECIMAL = re.compile(r"(\d{1,4}|\d{1,3}(?:,\d{3})+)?(\.\d+)?$")
_FRACTION = re.compile(r"(\d{1,2})/(\d{1,2})(?:nds?|rds?|ths?|nd's|'?s)?$")
_SLIP_TOPS = {"four": 4, "for": 4, "4": 4, "fore": 4, "two": 2, "to": 2, "too": 2, "2": 2,
              "three": 3, "3": 3, "six": 6, "6": 6}  # fmt: skip
_SLIP_TENS = {"30", "thirty", "32"}
_SLIP_ENDS = {"second", "seconds", "seconds'", "second's", "two", "twos"}
_SLIP_JOINED = re.compile(r"([2346])(?:32(?:nds?|s)?|/30|30)(?:-?seconds?|s)?$")
_SLIP_PARTED = re.compile(r"(\d{1,2})[.:](30|32)(nds?|s)?(?:-?seconds?)?$")
"""A recogniser's "4.32nds", "4.30 seconds", "4:30 seconds"."""


def digit_value(word: str) -> Fraction | None:
    """The value of "120", "1,200", "0.5", ".5" or "4/32nds"; None for anything else."""
    found = _FRACTION.match(word)
    if found and int(found[2]):
        return Fraction(int(found[1]), int(found[2]))
    if word and _DECIMAL.match(word) and any(sign.isdigit() for sign in word):
        return Fraction(word.replace(",", ""))
    return None


def slip_fraction(norms: Sequence[str], at: int) -> tuple[Fraction, int, Fraction | None] | None:
    """A fraction in thirty-seconds that the recogniser may have misheard at token `at`.

    Returns (value, end, literal): `literal` is the plain number the words also are ("for 30
    seconds" is 30 seconds), None when they can hardly mean anything else ("2/30 seconds").
    """
    word = norms[at]
    rest = norms[at + 1 : at + 3]
    top = _SLIP_TOPS.get(word)
    if top is not None and len(rest) == 2 and rest[0] in _SLIP_TENS and rest[1] in _SLIP_ENDS:
        spoken = word in ("for", "to", "too", "fore")
        plain = 32 if rest[0] == "32" or rest[1] in ("two", "twos") else 30
        return Fraction(top, 32), at + 3, Fraction(plain) if spoken else None
    if top is not None and rest and rest[0] in ("30-second", "30-seconds", "32nd", "32nds", "30s"):
        return Fraction(top, 32), at + 2, None
    parted = _SLIP_PARTED.match(word)
    named = bool(rest) and rest[0] in _SLIP_ENDS
    if parted and (named or parted[3]):
        return Fraction(int(parted[1]), 32), at + (2 if named else 1), None
    joined = _SLIP_JOINED.match(word)
    if joined is None:
        return None
    unclear = word.isdigit() and not named
    literal = Fraction(int(word)) if unclear else None
    return Fraction(int(joined[1]), 32), at + (2 if named else 1), literal
