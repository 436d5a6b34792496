"""Weak phrasing: hedges, vague amounts, blanket claims, and halves of a statement.

Decides: how remarks are grouped and what advice goes with each kind. An item that was named and
nothing more is a part without condition even when the match left no remark of it.
Conventions: kinds in the order of `ADVICE`, remarks in time order. A stated defect or a clash with
the vehicle profile is no weak phrase; `notices` gives those apart.
Public: ADVICE, phrasing, notices.
"""

from __future__ import annotations

from walkgrade.checklists.records import Item
from walkgrade.grading.records import Phrasing
from walkgrade.matching.records import Findings, ItemOutcome, Remark, RemarkKind

ADVICE: dict[RemarkKind, str] = {
    RemarkKind.BLANKET: "Name each part and what you check on it; a claim about everything at "
    "once earns nothing.",
    RemarkKind.NO_CONDITION: "A name alone earns nothing: say what you check on the part.",
    RemarkKind.NO_PART: "Say which part you mean before or after the condition.",
    RemarkKind.VAGUE: "Give the number with its unit, not 'enough' or 'good depth'.",
    RemarkKind.HEDGE: "State it: 'is', 'must be', 'at least' instead of 'should be', 'I think'.",
}

_NOTICES = (RemarkKind.DEFECT, RemarkKind.PROFILE)
_SAME_MS = 15_000
"""A defect told again so soon after is the same one."""


def phrasing(findings: Findings, items: dict[str, Item]) -> tuple[Phrasing, ...]:
    """Weak phrases by kind; kinds that did not occur are left out."""
    remarks = findings.remarks + _bare_names(findings, items)
    groups = {kind: [mark for mark in remarks if mark.kind is kind] for kind in ADVICE}
    return tuple(
        Phrasing(
            kind=kind,
            advice=ADVICE[kind],
            remarks=tuple(sorted(marks, key=lambda mark: mark.evidence.start)),
        )
        for kind, marks in groups.items()
        if marks
    )


def _bare_names(findings: Findings, items: dict[str, Item]) -> tuple[Remark, ...]:
    covered = {
        item
        for mark in findings.remarks
        if mark.kind is RemarkKind.NO_CONDITION
        for item in mark.items
    }
    return tuple(
        Remark(
            kind=RemarkKind.NO_CONDITION,
            note=f"{items[found.item].title} was named, nothing was said about it.",
            evidence=found.named[0],
            items=(found.item,),
        )
        for found in findings.items
        if found.outcome is ItemOutcome.NAMED_ONLY and found.named and found.item not in covered
    )


def notices(findings: Findings) -> tuple[Remark, ...]:
    """Stated defects and clashes with the vehicle profile, in time order.

    What was said of the same part within `_SAME_MS` is one notice, with the first words.
    """
    marks = [mark for mark in findings.remarks if mark.kind in _NOTICES]
    told: list[Remark] = []
    last: dict[tuple[RemarkKind, str, tuple[str, ...]], int] = {}
    for mark in sorted(marks, key=lambda mark: mark.evidence.start):
        key = (mark.kind, mark.note, mark.items)
        if key not in last or mark.evidence.start - last[key] > _SAME_MS:
            told.append(mark)
        last[key] = mark.evidence.start
    return tuple(told)
