"""A spoken number against a limit.

Decides: right, out of range, wrong direction or wrong unit.
Conventions: values are exact fractions; a limit's accepted range is closed.
Public: `judge`, `safe_reading`, `fits_unit`, `same_unit`, `plausible`, `spoken`, `accepted`.
"""

from __future__ import annotations

from fractions import Fraction

from walkgrade.checklists.records import Comparator, Limit
from walkgrade.language.records import Quantity
from walkgrade.matching.records import NumberVerdict

_SAME_UNIT = {("lb", "psi"), ("degree", "F"), ("lb", "unit")}
_DOWN = {Comparator.AT_MOST, Comparator.BELOW}
_UP = {Comparator.AT_LEAST, Comparator.ABOVE}
_PLAIN = {"", Comparator.EXACTLY, Comparator.ABOUT, Comparator.BETWEEN}
_BEYOND = Fraction(5, 4)
"""How far a reading may lie above an "about" whose accepted values all lie above it: a low-air
warning is due by 55 psi, 60 is accepted, and one at 62 or 75 comes early (California Commercial
Driver Handbook, section 5: between 55 and 75)."""
_TO_SECONDS = {"s": Fraction(1), "min": Fraction(60)}


def fits_unit(quantity: Quantity, limit: Limit) -> float:
    """How well the spoken unit fits the limit's: 1 same, 0.6 none said, 0 another."""
    if quantity.unit == limit.unit or (quantity.unit, limit.unit) in _SAME_UNIT:
        return 1.0
    if quantity.unit in _TO_SECONDS and limit.unit in _TO_SECONDS:
        return 1.0
    if quantity.unit == "" and limit.unit != "":
        return 0.6
    return 0.0


def same_unit(one: str, other: str) -> bool:
    """True for two names of one unit: pounds of air are psi."""
    return one == other or (one, other) in _SAME_UNIT or (other, one) in _SAME_UNIT


def judge(quantity: Quantity, limit: Limit) -> NumberVerdict:
    """Compare a spoken quantity with a limit.

    A range is right when both ends lie in the accepted range; a single value likewise. A comparator
    that points the other way makes even the right value wrong ("no more than 4/32" of tread).
    """
    if fits_unit(quantity, limit) == 0.0:
        return NumberVerdict.WRONG_UNIT
    scale = _scale(quantity, limit)
    low, high = quantity.low * scale, quantity.high * scale
    if limit.comparator in _UP and quantity.comparator in _DOWN:
        return NumberVerdict.WRONG_DIRECTION
    if limit.comparator in _DOWN and quantity.comparator in _UP:
        return NumberVerdict.WRONG_DIRECTION
    inside = limit.accept_low <= low and high <= limit.accept_high
    return NumberVerdict.RIGHT if inside else NumberVerdict.OUT_OF_RANGE


def _scale(quantity: Quantity, limit: Limit) -> Fraction:
    """What the spoken value is multiplied by to stand in the limit's unit."""
    if quantity.unit in _TO_SECONDS and limit.unit in _TO_SECONDS:
        return _TO_SECONDS[quantity.unit] / _TO_SECONDS[limit.unit]
    return Fraction(1)


def safe_reading(quantity: Quantity, limit: Limit, norms: frozenset[Fraction]) -> bool:
    """True for a plain value, or "six or seven", on the safe side of a one-sided limit: "mine is
    9/32"; and a little above a limit that says "about" but accepts only more: "the buzzer came on
    at 62".

    A value that some limit of the same quantity names (`norms`) is that limit remembered at the
    wrong place: the front tyre's 4/32 said of a rear one.
    """
    if quantity.comparator not in _PLAIN or fits_unit(quantity, limit) == 0.0:
        return False
    if quantity.low in norms or quantity.high in norms:
        return False
    if limit.comparator in _UP:
        return quantity.low > limit.accept_high
    if limit.comparator == Comparator.ABOUT and limit.low == limit.accept_low:
        return limit.accept_high < quantity.low <= quantity.high <= limit.accept_high * _BEYOND
    return limit.comparator in _DOWN and quantity.high < limit.accept_low


def plausible(quantity: Quantity, limit: Limit) -> bool:
    """True when the number is of the limit's order of magnitude: even a wrong answer mostly is."""
    scale = _scale(quantity, limit)
    low, high = quantity.low * scale, quantity.high * scale
    return limit.accept_low / 4 <= high and low <= limit.accept_high * 3


def _text(value: Fraction, unit: str) -> str:
    if value.denominator == 1:
        return str(value.numerator)
    if (
        unit == "in"
        and value < Fraction(1, 2)
        and 32 % value.denominator == 0
        and value.denominator >= 8
    ):
        return f"{value.numerator * 32 // value.denominator}/32"
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if whole else str(rest)


def spoken(quantity: Quantity) -> str:
    """A spoken quantity as the report prints it."""
    low, high = _text(quantity.low, quantity.unit), _text(quantity.high, quantity.unit)
    value = low if quantity.low == quantity.high else f"{low} to {high}"
    comparator = "" if quantity.comparator in ("", Comparator.BETWEEN) else quantity.comparator
    return " ".join(part for part in (comparator, value, quantity.unit) if part)


def accepted(limit: Limit) -> str:
    """The accepted values as the report prints them."""
    low, high = _text(limit.accept_low, limit.unit), _text(limit.accept_high, limit.unit)
    value = low if low == high else f"{low} to {high}"
    if limit.comparator == Comparator.AT_MOST and limit.accept_low == 0:
        value = high  # "at most 3 psi", not "at most 0 to 3 psi"
    wording = (
        limit.comparator if limit.comparator not in (Comparator.BETWEEN, Comparator.EXACTLY) else ""
    )
    return " ".join(part for part in (wording, value, limit.unit) if part)
