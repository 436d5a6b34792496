"""Amounts in words or digits: which value starts at a token, and what else it may mean.

Decides: whole numbers ("one twenty five", "one-two-zero", "hundred ninety"), decimals, fractions
and mixed numbers, and the second value of words that have two ("three sixteen": 316 or 3/16).
Conventions: values are exact fractions; a span is half-open ``[first, last)``; a whole number never
runs on across written punctuation.
Public: `Amount`, `Words`, `amount_at`, `and_a_part`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from walkgrade.language.digits import ONES, slip_fraction
from walkgrade.language.fractions import fraction_at, thirty_seconds_at
from walkgrade.language.number_tables import DENOMINATORS
from walkgrade.language.wholes import Whole, Words, digits_at, whole_at

__all__ = ["Amount", "Words", "amount_at", "and_a_part"]

_HUNDRED = 100  # "one hundred and a half" is no mixed number; "one twenty-three and a half" is
_WHOLE = ("full", "whole", "entire")
_HESITATIONS = ("uh", "um", "er", "erm", "ah")


@dataclass(frozen=True, slots=True)
class Amount:
    """A value said with tokens ``[first, last)``; `also`, in inches, is what else it may mean.

    `inches`: thirty-seconds and sixteenths, which are only ever inches here.
    """

    first: int
    last: int
    value: Fraction
    inches: bool = False
    also: Fraction | None = None


def amount_at(words: Words, at: int) -> Amount | None:
    """The longest amount that starts at token `at`, or None."""
    bare = _bare_measure(words, at)
    if bare is not None:
        return bare
    whole, fraction = whole_at(words, at), fraction_at(words, at)
    run = None if fraction is not None else digits_at(words, at)
    if run is not None:
        return _with_fraction(words, at, run)
    mixed = _mixed(words, at, whole) if whole is not None else None
    best: Amount | None = None
    if mixed is not None and (fraction is None or fraction.last < mixed.last):
        return mixed
    if fraction is not None and (whole is None or fraction.last >= whole.last):
        best = Amount(at, fraction.last, fraction.value, fraction.inches)
        if whole is not None and whole.last == fraction.last and words.norms[at] == "one":
            best = Amount(at, whole.last, whole.value, also=fraction.value)  # "one thirty-two"
    elif whole is not None:
        best = _with_fraction(words, at, whole)
    return _slip(words, at, best)


def _slip(words: Words, at: int, best: Amount | None) -> Amount | None:
    """What a recogniser may have misheard at token `at`, or else the best amount there."""
    slip = slip_fraction(words.norms, at)
    if slip is None:
        return best
    value, last, literal = slip
    if literal is None:
        return Amount(at, last, value, inches=True)
    if best is not None and best.last > last:
        return best
    unit_said = last - at > 1 and words.norms[last - 1] not in ("two", "twos")
    return Amount(at, last - 1 if unit_said else last, literal, also=value)


def _with_fraction(words: Words, at: int, whole: Whole) -> Amount:
    """ "Three sixteen", "one eight": the whole number, or else a fraction of an inch."""
    made = Amount(at, whole.last, whole.value)
    top, bottom = ONES.get(words.norms[at], 0), words.norms[at + 1 : whole.last]
    if bottom in (("sixteen",), ("eight",)) and 0 < top < ONES[bottom[0]]:
        return replace(made, also=Fraction(top, ONES[bottom[0]]))
    if bottom == words.norms[at : at + 1]:
        return replace(made, also=Fraction(top, 32))  # "four four" may be a stammer
    return made


def _mixed(words: Words, at: int, whole: Whole) -> Amount | None:
    """ "Two and a half", "1 3/4", "four and a half, uh, thirty-seconds"."""
    norms = words.norms
    has_and = norms[whole.last : whole.last + 1] == ("and",)
    start = whole.last + (1 if has_and else 0)
    tail = fraction_at(words, start)
    if tail is None or tail.value >= 1 or (whole.value >= _HUNDRED and whole.value % _HUNDRED == 0):
        return None
    if not (has_and or "/" in norms[start]):
        return None
    value, last = whole.value + tail.value, tail.last
    if norms[last : last + 1] and norms[last] in _HESITATIONS:
        last += 1
    end = thirty_seconds_at(norms, last)
    if end > last:
        return Amount(at, end, value / 32, inches=True)
    return Amount(at, tail.last, value)


def and_a_part(words: Words, at: int) -> tuple[Fraction, int] | None:
    """The "and a half" after a unit ("an inch and a half") at token `at`, and its end."""
    if words.norms[at : at + 1] != ("and",):
        return None
    part = fraction_at(words, at + 1)
    if part is None or part.value >= 1 or part.inches:
        return None
    return part.value, part.last


def _alone(words: Words, at: int) -> bool:
    """ "Inch on the rod", "inch max", "Inch." """
    rest = words.norms[at + 1 : at + 2]
    return (
        not rest
        or rest[0] in ("on", "max", "maximum", "tops")
        or (
            rest == ("is",)
            and words.norms[at + 2 : at + 4] in (("your", "max"), ("the", "most"), ("the", "limit"))
        )
    )


def _bare_measure(words: Words, at: int) -> Amount | None:
    """ "Inch of travel", "inch and half", "eighth of a tank", "full minute": a measure of one."""
    word, rest = words.norms[at], words.norms[at + 1 : at + 3]
    if word == "inch" and rest[:1] == ("of",) and rest[1:] in (
        ("travel",), ("play",), ("movement",),
    ):  # fmt: skip
        return Amount(at, at, Fraction(1))
    if word == "inch" and and_a_part(words, at + 1) is not None:
        return Amount(at, at, Fraction(1))
    if word == "inch" and (not at or at in words.halts) and _alone(words, at):
        return Amount(at, at, Fraction(1))
    if word == "inch" and at + 1 in words.halts and "inch" in rest:
        return Amount(at, at, Fraction(1))  # "inch, inch and a half"
    if word in _WHOLE and rest[:1] == ("minute",):
        return Amount(at, at + 1, Fraction(1))
    if word in ("eighth", "8th", "quarter", "half") and rest[:1] in (("of",), ("tank",)):
        return Amount(at, at + 1, Fraction(1, DENOMINATORS[word]))
    if word in ("eighth", "8th") and at and words.norms[at - 1] == "than":
        return Amount(at, at + 1, Fraction(1, 8))  # "more than eighth"
    return None
