"""Whole and decimal numbers in words or digits: "one twenty five", "one-oh-five", "105", "13.9".

Decides: how number words join, the spoken shorthand of pressures ("one twenty"), digits read one
by one ("one-two-zero") and volts ("thirteen nine").
Conventions: values are exact fractions; a number never runs on across written punctuation.
Public: `Words`, `Whole`, `whole_at`, `digits_at`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from walkgrade.language.digits import ONES, TENS, digit_value
from walkgrade.language.number_tables import DENOMINATORS

_WHOLE = ("full", "whole", "entire")  # "one full minute"
_ZEROS = ("oh", "o", "zero")
_DIGITS = {word: value for word, value in ONES.items() if value < 10 and word != "deuce"} | {"o": 0}
_VOLTS = range(12, 16)  # "thirteen nine" is 13.9; other numbers are not said so
_NOTHING, _LOST = ("none", "nothing", "nil"), ("lost", "dropped", "lose", "drop")
_BY_DIGIT = (2, 3)  # how many digits a number read digit by digit has


@dataclass(frozen=True, slots=True)
class Words:
    """The words of an utterance; `halts` are the tokens that punctuation stands before."""

    norms: tuple[str, ...]
    halts: tuple[int, ...] = ()

    def until_halt(self, at: int) -> tuple[str, ...]:
        """The words up to the next punctuation after token `at`."""
        return self.norms[: next((halt for halt in self.halts if halt > at), len(self.norms))]


@dataclass(frozen=True, slots=True)
class Whole:
    """A number that ends before token `last`."""

    last: int
    value: Fraction


def whole_at(words: Words, at: int) -> Whole | None:
    """The whole or decimal number that starts at token `at`, or None."""
    norms = words.until_halt(at)
    if at >= len(norms):
        return None
    word = norms[at]
    digits = digit_value(word)
    if digits is not None and "/" not in word:
        return Whole(at + 1, digits)
    after = [w for w in words.norms[at + 1 : at + 3] if w not in _WHOLE][:1]
    if word in ("a", "an") and after in (["inch"], ["minute"], ["pound"]):
        return Whole(at + 1, Fraction(1))
    if word in _NOTHING and at and norms[at - 1] in _LOST:
        return Whole(at + 1, Fraction(0))
    found = _hundreds(norms, at)
    if found is None:
        return None
    total, last = found
    if last + 1 < len(norms) and norms[last] == "point" and norms[last + 1] in ONES:
        return Whole(last + 2, total + Fraction(ONES[norms[last + 1]], 10))
    if last == at + 1 and total in _VOLTS and _lone_digit(norms, last):
        return Whole(last + 1, total + Fraction(ONES[norms[last]], 10))
    return Whole(last, Fraction(total))


def _lone_digit(norms: Sequence[str], at: int) -> bool:
    """True when token `at` is a digit that no fraction and no longer number starts with."""
    return at < len(norms) and 1 <= ONES.get(norms[at], 0) <= 9 and not _taken(norms, at + 1)


def _taken(norms: Sequence[str], at: int) -> bool:
    """True when the word at `at` goes with the digit before it: "six thirty-seconds"."""
    if at >= len(norms):
        return False
    word = norms[at]
    known = word in ONES or word in TENS or word in DENOMINATORS
    return known or word in ("hundred", "point", "over", "by", "upon", "slash")


def _hundreds(norms: Sequence[str], at: int) -> tuple[int, int] | None:
    """A whole number in words that starts at token `at`, and its end."""
    word = norms[at]
    if word == "hundred":
        total, last = 100, at + 1
    elif word == "a" and norms[at + 1 : at + 2] == ("hundred",):
        total, last = 100, at + 2
    elif word in ONES or word in TENS:
        total, last = _below_hundred(norms, at)
        if last < len(norms) and norms[last] == "hundred":
            total, last = total * 100, last + 1
        elif 1 <= total <= 9 and last < len(norms) and _follows(norms, last):
            rest, end = _below_hundred(norms, last)
            return total * 100 + rest, end
    else:
        return None
    if total % 100 == 0 and total >= 100:
        start = last + (1 if last < len(norms) and norms[last] == "and" else 0)
        if start < len(norms) and (norms[start] in ONES or norms[start] in TENS):
            rest, end = _below_hundred(norms, start)
            if not _goes_on(norms, start, end):
                total, last = total + rest, end
    return total, last


def digits_at(words: Words, at: int) -> Whole | None:
    """A number read digit by digit ("one-two-zero"), or None; counting aloud is none."""
    norms = words.until_halt(at)
    last = at
    if at and at not in words.halts and norms[at - 1] in _DIGITS:
        return None  # the tail of a longer run: "one two three", a telephone number
    while last < len(norms) and norms[last] in _DIGITS:
        last += 1
    digits = [_DIGITS[word] for word in norms[at:last]]
    if len(digits) not in _BY_DIGIT or _taken(norms, last) or norms[last - 1] == "o":
        return None
    steps = {two - one for one, two in zip(digits, digits[1:], strict=False)}
    counted = digits == [1, 2] or (len(digits) > 2 and steps in ({1}, {-1}, {0}))
    if counted or digits[0] == 0:
        return None
    return Whole(last, Fraction(int("".join(map(str, digits)))))


def _goes_on(norms: Sequence[str], start: int, end: int) -> bool:
    """True when "and one" opens another number: "one hundred and one hundred", "and one twenty"."""
    if end >= len(norms) or norms[start] not in ONES or not 1 <= ONES[norms[start]] <= 9:
        return False
    return norms[end] == "hundred" or (end == start + 1 and _follows(norms, end))


def _follows(norms: Sequence[str], at: int) -> bool:
    """True when tokens at `at` can be the tens of "one twenty" or the "oh five" of "one oh five"."""
    word = norms[at]
    if word in TENS:
        fraction = at + 1 < len(norms) and norms[at + 1] in ("second", "seconds")
        return not fraction
    if word in _ZEROS:
        return at + 1 < len(norms) and norms[at + 1] in ONES
    return word in ONES and 10 <= ONES[word] <= 19


def _below_hundred(norms: Sequence[str], at: int) -> tuple[int, int]:
    word = norms[at]
    if word in _ZEROS and at + 1 < len(norms) and ONES.get(norms[at + 1], 0) in range(1, 10):
        return ONES[norms[at + 1]], at + 2
    if word in TENS:
        if at + 1 < len(norms) and 1 <= ONES.get(norms[at + 1], 0) <= 9:
            return TENS[word] + ONES[norms[at + 1]], at + 2
        return TENS[word], at + 1
    return ONES[word], at + 1
