"""Fractions as drivers say them: "three quarters", "four over thirty-two", "4/32nds".

Conventions: values are exact fractions; a span is half-open ``[first, last)``.
Public: `Part`, `fraction_at`, `thirty_seconds_at`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from walkgrade.language.digits import ONES, digit_value
from walkgrade.language.number_tables import DENOMINATORS
from walkgrade.language.wholes import Words, whole_at

_OVER = ("over", "by", "upon", "slash", "of")
_PAST = ("over", "above", "past", "under", "below", "than")  # "over the eighth"
_SHARES = ("eighth", "sixteenth")
_BOTTOMS = (2, 4, 8, 16, 32)
_MOST = 32  # the largest top of a fraction that anybody measures
_ENDS = ("second", "seconds", "second's", "two", "twos")


@dataclass(frozen=True, slots=True)
class Part:
    """A fraction that ends before token `last`; `inches`: it measures inches and nothing else."""

    last: int
    value: Fraction
    inches: bool = False


def fraction_at(words: Words, at: int) -> Part | None:
    """The fraction that starts at token `at`, or None."""
    norms = words.norms
    if at >= len(norms):
        return None
    word, after = norms[at], norms[at + 1 : at + 2]
    digits = digit_value(word)
    if digits is not None and "/" in word:
        return Part(at + 1, digits, inches="/32" in word or "/16" in word)
    if word in ("half", "quarter"):
        return Part(at + 1, Fraction(1, DENOMINATORS[word]))
    if word == "the" and at and norms[at - 1] in _PAST and after and after[0] in _SHARES:
        return _share(at + 2, Fraction(1), DENOMINATORS[after[0]])
    if word == "an" and at and norms[at - 1] in _PAST and after == ("eight",):
        return _share(at + 2, Fraction(1), 8)  # a recogniser's "over an eighth"
    if word in ("a", "an", "one") and after and after[0] in DENOMINATORS:
        return _share(at + 2, Fraction(1), DENOMINATORS[after[0]])
    top = Fraction(ONES[word]) if word in ONES else digits
    if top is None or not after or not 0 < top < _MOST:
        return None
    if after[0] in DENOMINATORS and after[0] != "half":
        return _share(at + 2, top, DENOMINATORS[after[0]])
    end = thirty_seconds_at(norms, at + 1)
    if end > at + 1:
        return _share(end, top, 32)
    return _over(words, at, top)


def _share(last: int, top: Fraction, bottom: int) -> Part:
    return Part(last, top / bottom, inches=bottom >= 16)


def _over(words: Words, at: int, top: Fraction) -> Part | None:
    """ "Four over thirty-two", "eight by thirty-two", "six of thirty-two"."""
    if words.norms[at + 1] not in _OVER or at + 2 >= len(words.norms):
        return None
    bottom = whole_at(words, at + 2)
    if bottom is None or bottom.value not in _BOTTOMS or top >= bottom.value:
        return None
    if words.norms[at + 1] == "by" and bottom.value < 8:
        return None  # "two by four" is timber
    if words.norms[at + 1] == "of" and bottom.value != _MOST:
        return None  # "four of thirty-two", but "one of four"
    return _share(bottom.last, top, int(bottom.value))


def thirty_seconds_at(norms: tuple[str, ...], at: int) -> int:
    """End of "thirty-seconds" or "thirty-two" at token `at`; `at` itself where none stands."""
    if norms[at : at + 1] and norms[at] in ("32nd", "32nds", "thirtyseconds"):
        return at + 1
    named = norms[at : at + 1] == ("thirty",) and norms[at + 1 : at + 2]
    return at + 2 if named and norms[at + 1] in _ENDS else at
