"""What was covered: items, sections, totals, and what a person must still hear.

Decides: the points of each item (complete: its points; needs listening: none yet, but counted in
the upper bound; anything else: none), how items add up, and the moment to play for a doubtful one.
Conventions: a review replaces the outcome of its item, the last one counts; the outcome heard by
the tool is kept beside it. Late additions earn under the policy and stay marked.
Public: item_grades, tally, section_grades, listening, by_id.
"""

from __future__ import annotations

from collections.abc import Iterable

from walkgrade.checklists.records import Checklist, Item
from walkgrade.errors import InputError
from walkgrade.grading.policy import points_for
from walkgrade.grading.records import ItemGrade, Listen, Policy, Review, SectionGrade, Tally
from walkgrade.matching.records import (
    Evidence,
    Findings,
    ItemFinding,
    ItemOutcome,
    Outcome,
    RequirementFinding,
)


def by_id(checklist: Checklist, findings: Findings) -> dict[str, Item]:
    """Items of `checklist` by id, once `findings` is known to belong to it.

    Raises
    ------
    InputError ``I71`` when the findings name another checklist or an item it does not hold.
    """
    items = {item.id: item for item in checklist.items}
    strangers = [found.item for found in findings.items if found.item not in items]
    if findings.checklist != checklist.id or strangers:
        what = f"item {strangers[0]!r}" if strangers else f"checklist {findings.checklist!r}"
        raise InputError(
            "I71",
            f"The findings speak of {what}; the checklist given is {checklist.id!r} "
            f"version {checklist.version}.",
            "Grade with the checklist (and version) the run was matched against.",
        )
    return items


def item_grades(
    findings: Findings, items: dict[str, Item], policy: Policy, reviews: Iterable[Review] = ()
) -> tuple[ItemGrade, ...]:
    """One grade for each finding, in its order.

    Raises
    ------
    InputError ``I72`` when a review names an item that was not graded.
    """
    calls = {review.item: review.new for review in reviews}
    unknown = sorted(calls.keys() - {found.item for found in findings.items})
    if unknown:
        raise InputError(
            "I72",
            f"A review changes {unknown[0]!r}, which is not among the graded items.",
            "Review only items of this attempt's report.",
        )
    return tuple(
        _item_grade(found, items[found.item], policy, calls.get(found.item))
        for found in findings.items
    )


def _item_grade(
    found: ItemFinding, item: Item, policy: Policy, call: ItemOutcome | None
) -> ItemGrade:
    outcome = call or found.outcome
    possible = points_for(policy, item.id)
    counts = outcome is ItemOutcome.COMPLETE and (policy.late_earns or not found.late)
    missing = () if outcome is ItemOutcome.COMPLETE else _missing(found)
    return ItemGrade(
        item=item.id,
        section=item.section,
        outcome=outcome,
        heard=found.outcome,
        points=possible if counts else 0,
        points_possible=possible,
        critical=item.critical,
        late=found.late,
        reviewed=call is not None,
        close_call=found.close_call and call is None,
        missing=missing,
        first_at=min((piece.start for piece in evidence_of(found)), default=None),
        earned_at=_earned_at(found) if outcome is ItemOutcome.COMPLETE else None,
    )


def _missing(found: ItemFinding) -> tuple[str, ...]:
    return tuple(
        part.requirement
        for part in found.requirements
        if part.required and part.outcome is not Outcome.SAID
    )


def evidence_of(found: ItemFinding) -> tuple[Evidence, ...]:
    """Everything said about an item, naming included."""
    return found.named + tuple(piece for part in found.requirements for piece in part.evidence)


def _earned_at(found: ItemFinding) -> int | None:
    """The moment the last required requirement was first met; naming alone if none is required."""
    needed = [part for part in found.requirements if part.required]
    if not needed:
        return min((piece.end for piece in found.named), default=None)
    ends = [min((piece.end for piece in part.evidence), default=None) for part in needed]
    known = [end for end in ends if end is not None]
    return max(known) if len(known) == len(ends) else None


def tally(grades: Iterable[ItemGrade], findings: dict[str, ItemFinding], policy: Policy) -> Tally:
    """Add up `grades`."""
    rows = tuple(grades)
    outcomes = [row.outcome for row in rows]
    asked = [(row, part) for row in rows for part in _required(findings[row.item])]
    return Tally(
        items=len(rows),
        complete=outcomes.count(ItemOutcome.COMPLETE),
        incomplete=outcomes.count(ItemOutcome.INCOMPLETE),
        named_only=outcomes.count(ItemOutcome.NAMED_ONLY),
        missed=outcomes.count(ItemOutcome.MISSED),
        wrong=outcomes.count(ItemOutcome.WRONG),
        needs_listening=outcomes.count(ItemOutcome.NEEDS_LISTENING),
        close_calls=sum(row.close_call for row in rows),
        late=sum(row.late for row in rows),
        points=sum(row.points for row in rows),
        points_if_confirmed=sum(row.points or _doubtful(row, policy) for row in rows),
        points_possible=sum(row.points_possible for row in rows),
        requirements=len(asked),
        requirements_said=sum(_said(row, part) for row, part in asked),
        requirements_unclear=sum(
            part.outcome is Outcome.UNCLEAR and not _said(row, part) for row, part in asked
        ),
    )


def _required(found: ItemFinding) -> list[RequirementFinding]:
    return [part for part in found.requirements if part.required]


def _said(row: ItemGrade, part: RequirementFinding) -> bool:
    """Earned in the run, or the whole item confirmed by a person."""
    return part.outcome is Outcome.SAID or (row.reviewed and row.outcome is ItemOutcome.COMPLETE)


def _doubtful(row: ItemGrade, policy: Policy) -> int:
    doubtful = row.outcome is ItemOutcome.NEEDS_LISTENING and (policy.late_earns or not row.late)
    return row.points_possible if doubtful else 0


def section_grades(
    grades: tuple[ItemGrade, ...],
    findings: dict[str, ItemFinding],
    checklist: Checklist,
    policy: Policy,
    times: dict[str, int] | None,
) -> tuple[SectionGrade, ...]:
    """One grade for each section with applicable items, in checklist order.

    `times`: milliseconds spent by section id, None when the transcript has no times.
    """
    out = []
    for section in checklist.sections:
        rows = tuple(row for row in grades if row.section == section.id)
        if not rows:
            continue
        spent = None if times is None else times.get(section.id, 0)
        budget = section.budget_s * 1_000
        out.append(
            SectionGrade(
                section=section.id,
                title=section.title,
                procedure=section.procedure,
                reached=any(evidence_of(findings[row.item]) for row in rows) or bool(spent),
                tally=tally(rows, findings, policy),
                budget_ms=budget,
                time_ms=spent,
                over_ms=None if spent is None else max(0, spent - budget),
            )
        )
    return tuple(out)


def listening(
    grades: tuple[ItemGrade, ...],
    findings: dict[str, ItemFinding],
    items: dict[str, Item],
    *,
    timed: bool,
) -> tuple[Listen, ...]:
    """Items that need a human ear, in the order to play them; those without a moment come last."""
    out = [
        _listen(findings[row.item], items[row.item], row, timed)
        for row in grades
        if row.outcome is ItemOutcome.NEEDS_LISTENING or row.close_call
    ]
    return tuple(sorted(out, key=lambda entry: (entry.start is None, entry.start or 0)))


def _listen(found: ItemFinding, item: Item, row: ItemGrade, timed: bool) -> Listen:
    if row.close_call:
        unclear = [min(_required(found), key=lambda part: part.confidence)]  # what it hangs on
    else:
        unclear = [part for part in found.requirements if part.outcome is Outcome.UNCLEAR]
    pieces = [piece for part in unclear for piece in part.evidence] or list(evidence_of(found))
    first = min(pieces, key=lambda piece: piece.start, default=None)
    return Listen(
        item=item.id,
        title=item.title,
        section=item.section,
        critical=item.critical,
        counted=row.close_call,
        confidence=found.confidence,
        reason=next((part.reason for part in unclear if part.reason), "The words were not clear."),
        quote=first.quote if first else "",
        start=first.start if first and timed else None,
        end=first.end if first and timed else None,
        requirements=tuple(part.requirement for part in unclear) or row.missing,
    )
