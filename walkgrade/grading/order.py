"""Order: procedure steps missing, swapped or unfinished, and walking back and forth.

Decides: which steps and returns are worth a word, and which missed items are of the kind that
commonly fails the whole test. Source of that rule: state commercial driver manuals, section
11.1.2 (11M.1.2 in the modernised edition): every part of the brake check must be both explained
and done, or the inspection test is failed; 49 CFR 383.113(a) asks for the same skills.
Conventions: a visit beyond those the checklist's own item order needs counts as a return.
Public: RULE_BASIS, order, critical_misses.
"""

from __future__ import annotations

from itertools import groupby

from walkgrade.checklists.records import Basis, Checklist, Item, Requirement, Standing
from walkgrade.grading.records import CriticalMiss, ItemGrade, Order, OrderIssue, ZoneReturn
from walkgrade.matching.records import (
    Findings,
    ItemOutcome,
    StepFinding,
    StepState,
)

RULE_BASIS: tuple[Basis, ...] = (
    Basis(
        title="Commercial driver manual (state copies of the model manual)",
        section="11.1.2; modernised edition 11M.1.2: brake check",
        standing=Standing.PUBLISHED,
    ),
    Basis(
        title="49 CFR 383.113",
        section="(a) vehicle inspection skills",
        standing=Standing.PUBLISHED,
    ),
)
"""Why a missed brake-check step is flagged."""

_FAILS = (
    "A miss here is of the kind that commonly fails the whole inspection test. The state's "
    "manual decides."
)
_STATE_NOTES = {
    StepState.MISSING: "This step was not heard.",
    StepState.UNFINISHED: "This step was begun and not finished.",
    StepState.SWAPPED: "This step came out of order.",
}


def order(findings: Findings, checklist: Checklist, items: dict[str, Item]) -> Order:
    """Steps as found, what went wrong in them, and places visited too often."""
    issues = tuple(
        _issue(step, items[step.item])
        for step in findings.steps
        if step.state is not StepState.IN_ORDER and step.item in items
    )
    return Order(steps=findings.steps, issues=issues, returns=_returns(findings, checklist, items))


def _issue(step: StepFinding, item: Item) -> OrderIssue:
    note = _STATE_NOTES[step.state]
    return OrderIssue(
        section=step.section,
        item=step.item,
        title=item.title,
        step=step.step,
        state=step.state,
        position=step.position,
        critical=item.critical,
        note=f"{note} {_FAILS}" if item.critical else note,
        evidence=step.evidence,
    )


def _returns(
    findings: Findings, checklist: Checklist, items: dict[str, Item]
) -> tuple[ZoneReturn, ...]:
    planned = [place for place, _ in groupby(items[row.item].place for row in findings.items)]
    # One stay may arrive as several touching visits; only a stay elsewhere between makes a return.
    stays = [next(run) for _, run in groupby(findings.visits, key=lambda visit: visit.place)]
    out = []
    for place in checklist.places:
        starts = tuple(stay.start for stay in stays if stay.place == place.id)
        wanted = max(1, planned.count(place.id))
        if len(starts) > wanted:
            out.append(
                ZoneReturn(
                    place=place.id,
                    title=place.title,
                    visits=len(starts),
                    planned=wanted,
                    starts=starts[wanted:],
                )
            )
    return tuple(out)


def critical_misses(
    findings: Findings, grades: tuple[ItemGrade, ...], items: dict[str, Item]
) -> tuple[CriticalMiss, ...]:
    """Critical items that are not complete, and complete ones whose step was done wrongly."""
    bad_steps = {
        step.item: step.state for step in findings.steps if step.state is not StepState.IN_ORDER
    }
    out = []
    for row in grades:
        # A review settles the item: an instructor who calls it complete has judged the step too.
        state = None if row.reviewed else bad_steps.get(row.item)
        if row.critical and (row.outcome is not ItemOutcome.COMPLETE or state):
            out.append(_critical_miss(row, items[row.item], state))
    return tuple(out)


def _critical_miss(row: ItemGrade, item: Item, state: StepState | None) -> CriticalMiss:
    says = {part.id: part.says for part in item.requirements}
    undecided = row.outcome is ItemOutcome.NEEDS_LISTENING
    lead = "A person must hear this one first." if undecided else ""
    step = _STATE_NOTES.get(state, "") if state and not undecided else ""
    return CriticalMiss(
        item=item.id,
        title=item.title,
        section=item.section,
        outcome=row.outcome,
        undecided=undecided,
        missing=tuple(says.get(part, part) for part in row.missing),
        note=" ".join(part for part in (lead, step, _FAILS) if part),
        basis=_bases(item, row.missing),
    )


def _bases(item: Item, missing: tuple[str, ...]) -> tuple[Basis, ...]:
    """The rule, for steps of a brake check, then the sources of what is missing; each once."""
    rule = RULE_BASIS if item.step else ()
    parts: list[Requirement] = [part for part in item.requirements if part.id in missing]
    return tuple(dict.fromkeys(rule + tuple(basis for part in parts for basis in part.basis)))
