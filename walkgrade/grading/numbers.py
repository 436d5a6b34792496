"""Numbers: which were right, which were not, what is accepted and by which source.

Decides: nothing about the value itself (the match has done that); joins each number to its
checklist requirement, finds the ones a later statement repaired, and lists those never given.
Conventions: spoken order. A number is a gap when its limit is required, was not said at all, and
the trainee gave no number for it.
Public: numbers, number_gaps, limit_text.
"""

from __future__ import annotations

from fractions import Fraction

from walkgrade.checklists.records import Comparator, Item, Limit, Requirement
from walkgrade.grading.records import ItemGrade, NumberGap, NumberGrade
from walkgrade.matching.records import (
    Findings,
    ItemOutcome,
    NumberFinding,
    NumberVerdict,
    Outcome,
)


def requirements_of(items: dict[str, Item]) -> dict[str, Requirement]:
    """All requirements by id."""
    return {part.id: part for item in items.values() for part in item.requirements}


def numbers(findings: Findings, items: dict[str, Item]) -> tuple[NumberGrade, ...]:
    """Every spoken number that was read against a limit, in the order of the findings."""
    parts = requirements_of(items)
    earned = {
        part.requirement
        for found in findings.items
        for part in found.requirements
        if part.outcome is Outcome.SAID
    }
    return tuple(
        _number(number, items[number.item], parts.get(number.requirement), earned)
        for number in findings.numbers
        if number.item in items
    )


def _number(
    number: NumberFinding, item: Item, part: Requirement | None, earned: set[str]
) -> NumberGrade:
    right = number.verdict is NumberVerdict.RIGHT
    return NumberGrade(
        finding=number,
        title=item.title,
        says=part.says if part else "",
        right=right,
        repaired=not right and number.requirement in earned,
        critical=item.critical,
        basis=part.basis if part else (),
    )


def number_gaps(
    findings: Findings, grades: tuple[ItemGrade, ...], items: dict[str, Item]
) -> tuple[NumberGap, ...]:
    """Required numbers that were never given, in checklist order."""
    parts = requirements_of(items)
    given = {number.requirement for number in findings.numbers}
    done = {row.item for row in grades if row.outcome is ItemOutcome.COMPLETE}
    out = []
    for found in findings.items:
        for entry in found.requirements:
            part = parts.get(entry.requirement)
            if part is None or part.limit is None or found.item in done or not entry.required:
                continue
            if entry.outcome is Outcome.NOT_SAID and entry.requirement not in given:
                out.append(_gap(items[found.item], part, part.limit))
    return tuple(out)


def _gap(item: Item, part: Requirement, limit: Limit) -> NumberGap:
    return NumberGap(
        item=item.id,
        requirement=part.id,
        title=item.title,
        says=part.says,
        accepted=limit_text(limit),
        critical=item.critical,
        basis=part.basis,
    )


def limit_text(limit: Limit) -> str:
    """A limit in words: ``at least 4/32 in``, ``between 120 and 140 psi``."""
    low, high = (_amount(value, limit) for value in (limit.low, limit.high))
    unit = "" if limit.unit in ("count", "fraction", "unit") else f" {limit.unit}"
    if limit.comparator is Comparator.BETWEEN:
        return f"between {low} and {high}{unit}"
    return f"{limit.comparator} {low or high}{unit}"


def _amount(value: Fraction | None, limit: Limit) -> str:
    """As the trade writes it: whole numbers and fractions, tread depth always in 32nds."""
    if value is None:
        return ""
    whole, rest = divmod(value, 1)
    if rest and 32 % value.denominator == 0 and "tread" in limit.quantity:
        return f"{value * 32}/32"
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)
