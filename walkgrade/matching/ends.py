"""Both ends of a limit told one by one: "no lower than twenty, no higher than forty-five".

Decides: when two numbers that speak to one limit are its lower and upper end, and so one range.
Conventions: only a limit with two ends; both numbers single, in either order, right after each
other in the talk.
Public: `ranged`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction

from walkgrade.checklists.records import Comparator, Requirement
from walkgrade.matching.records import NumberFinding, NumberVerdict

_NEAR_MS = 6_000


def ranged(
    numbers: Iterable[NumberFinding], requirements: Mapping[str, Requirement]
) -> tuple[NumberFinding, ...]:
    """The numbers, in their order, two ends of one limit joined to a range."""
    made: list[NumberFinding] = []
    for number in numbers:
        at = _other_end(number, made, requirements[number.requirement])
        if at is None:
            made.append(number)
        else:
            made[at] = _joined(made[at], number)
    return tuple(made)


def _other_end(
    number: NumberFinding, before: list[NumberFinding], requirement: Requirement
) -> int | None:
    """Where the last number of the same requirement stands, if this is the other end to it."""
    limit = requirement.limit
    if limit is None or limit.low is None or limit.high is None or limit.low == limit.high:
        return None
    mine = [at for at, one in enumerate(before) if one.requirement == number.requirement]
    if not mine:
        return None
    one = before[mine[-1]]
    near = number.evidence.start - one.evidence.end <= _NEAR_MS
    values = (one.value_low, one.value_high, number.value_low, number.value_high)
    ends = sorted(map(Fraction, values))
    whole = ends == [limit.low, limit.low, limit.high, limit.high]
    single = one.value_low == one.value_high and number.value_low == number.value_high
    return mine[-1] if near and whole and single else None


def _joined(one: NumberFinding, other: NumberFinding) -> NumberFinding:
    low, high = sorted((one, other), key=lambda number: Fraction(number.value_low))
    return replace(
        one,
        said=f"{one.said} ... {other.said}",
        value_low=low.value_low,
        value_high=high.value_high,
        comparator=str(Comparator.BETWEEN),
        verdict=NumberVerdict.RIGHT,
        evidence=replace(one.evidence, end=other.evidence.end),
    )
