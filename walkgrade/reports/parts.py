"""Records as plain JSON values: one small function for each part of the grade document.

Decides: names and order of the keys inside each part. Nothing is computed here.
Conventions: `timed` False turns every moment of the recording into null. Fractions are written as
``4/32`` reduced (``1/8``), enums as their words.
Public: every function takes a record and gives a dict of JSON values.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from fractions import Fraction
from typing import Any

from walkgrade.checklists.records import Basis, Item, Limit, Requirement
from walkgrade.grading.pace_records import Pace
from walkgrade.grading.records import (
    CriticalMiss,
    Drill,
    Grade,
    ItemGrade,
    Listen,
    NumberGap,
    NumberGrade,
    Policy,
    Review,
    SectionGrade,
    Tally,
)
from walkgrade.matching.records import (
    Evidence,
    Findings,
    ItemFinding,
    Line,
    Remark,
    RequirementFinding,
)

Json = dict[str, Any]


def moment(value: int | None, *, timed: bool) -> int | None:
    """A moment of the recording, or null when the transcript has no times."""
    return value if timed else None


def basis(rows: Iterable[Basis]) -> list[Json]:
    return [
        {"title": row.title, "section": row.section, "standing": str(row.standing)} for row in rows
    ]


def policy(row: Policy) -> Json:
    return asdict(row) | {
        "item_points": [{"item": item, "points": points} for item, points in row.item_points]
    }


def tally(row: Tally) -> Json:
    return asdict(row) | {
        "percent": row.percent,
        "percent_if_confirmed": row.percent_if_confirmed,
    }


def section(row: SectionGrade) -> Json:
    return {
        "id": row.section,
        "title": row.title,
        "procedure": row.procedure,
        "reached": row.reached,
        "tally": tally(row.tally),
        "budget_ms": row.budget_ms,
        "time_ms": row.time_ms,
        "over_ms": row.over_ms,
    }


def evidence(row: Evidence, *, timed: bool) -> Json:
    return {
        "utterance": row.utterance,
        "quote": row.quote,
        "start_ms": moment(row.start, timed=timed),
        "end_ms": moment(row.end, timed=timed),
        "confidence": row.confidence,
    }


def _all_evidence(rows: Iterable[Evidence], *, timed: bool) -> list[Json]:
    return [evidence(row, timed=timed) for row in rows]


def item(found: ItemFinding, entry: Item, row: ItemGrade, *, timed: bool) -> Json:
    parts = {part.id: part for part in entry.requirements}
    return {
        "id": entry.id,
        "title": entry.title,
        "row": entry.row,
        "section": entry.section,
        "place": entry.place,
        "step": entry.step,
        "critical": entry.critical,
        "why": entry.why,
        "caution": entry.caution,
        "outcome": str(row.outcome),
        "heard": str(row.heard),
        "reviewed": row.reviewed,
        "confidence": found.confidence,
        "points": row.points,
        "points_possible": row.points_possible,
        "late": row.late,
        "close_call": row.close_call,
        "first_at_ms": row.first_at,
        "earned_at_ms": row.earned_at,
        "missing": list(row.missing),
        "named": _all_evidence(found.named, timed=timed),
        "requirements": [
            requirement(part, parts.get(part.requirement), timed=timed)
            for part in found.requirements
        ],
    }


def requirement(found: RequirementFinding, part: Requirement | None, *, timed: bool) -> Json:
    return {
        "id": found.requirement,
        "row": part.row if part else "",
        "kind": str(part.kind) if part else "condition",
        "says": part.says if part else "",
        "required": found.required,
        "outcome": str(found.outcome),
        "confidence": found.confidence,
        "reason": found.reason,
        "carried_from": found.carried_from,
        "evidence": _all_evidence(found.evidence, timed=timed),
        "limit": limit(part.limit) if part and part.limit else None,
        "basis": basis(part.basis) if part else [],
    }


def limit(row: Limit) -> Json:
    return {
        "quantity": row.quantity,
        "comparator": str(row.comparator),
        "low": _fraction(row.low),
        "high": _fraction(row.high),
        "accept_low": str(row.accept_low),
        "accept_high": str(row.accept_high),
        "unit": row.unit,
    }


def _fraction(value: Fraction | None) -> str | None:
    return None if value is None else str(value)


def listen(row: Listen) -> Json:
    return {
        "item": row.item,
        "title": row.title,
        "section": row.section,
        "critical": row.critical,
        "counted": row.counted,
        "confidence": row.confidence,
        "reason": row.reason,
        "quote": row.quote,
        "start_ms": row.start,
        "end_ms": row.end,
        "requirements": list(row.requirements),
    }


def critical(row: CriticalMiss) -> Json:
    return {
        "item": row.item,
        "title": row.title,
        "section": row.section,
        "outcome": str(row.outcome),
        "undecided": row.undecided,
        "missing": list(row.missing),
        "note": row.note,
        "basis": basis(row.basis),
    }


def number(row: NumberGrade, *, timed: bool) -> Json:
    found = row.finding
    return {
        "item": found.item,
        "requirement": found.requirement,
        "title": row.title,
        "says": row.says,
        "said": found.said,
        "value_low": found.value_low,
        "value_high": found.value_high,
        "unit": found.unit,
        "comparator": found.comparator,
        "verdict": str(found.verdict),
        "right": row.right,
        "repaired": row.repaired,
        "critical": row.critical,
        "accepted": found.accepted,
        "basis": basis(row.basis),
        "evidence": evidence(found.evidence, timed=timed),
    }


def number_gap(row: NumberGap) -> Json:
    return {
        "item": row.item,
        "requirement": row.requirement,
        "title": row.title,
        "says": row.says,
        "accepted": row.accepted,
        "critical": row.critical,
        "basis": basis(row.basis),
    }


def remark(row: Remark, *, timed: bool) -> Json:
    return {
        "kind": str(row.kind),
        "note": row.note,
        "items": list(row.items),
        "evidence": evidence(row.evidence, timed=timed),
    }


def order(grade: Grade, findings: Findings, *, timed: bool) -> Json:
    return {
        "steps": [
            {
                "section": row.section,
                "item": row.item,
                "step": row.step,
                "state": str(row.state),
                "position": row.position,
                "evidence": _all_evidence(row.evidence, timed=timed),
            }
            for row in grade.order.steps
        ],
        "issues": [
            {
                "section": row.section,
                "item": row.item,
                "title": row.title,
                "step": row.step,
                "state": str(row.state),
                "position": row.position,
                "critical": row.critical,
                "note": row.note,
                "evidence": _all_evidence(row.evidence, timed=timed),
            }
            for row in grade.order.issues
        ],
        "returns": [
            {
                "place": row.place,
                "title": row.title,
                "visits": row.visits,
                "planned": row.planned,
                "starts_ms": [moment(start, timed=timed) for start in row.starts],
            }
            for row in grade.order.returns
        ],
        "visits": [
            {
                "place": row.place,
                "start_ms": moment(row.start, timed=timed),
                "end_ms": moment(row.end, timed=timed),
            }
            for row in findings.visits
        ],
    }


def pace(row: Pace, rules: Policy) -> Json:
    speech, known = row.speech, row.known
    return {
        "known": known,
        "budget_ms": row.budget_ms,
        "elapsed_ms": row.elapsed_ms,
        "over_ms": row.over_ms,
        "projected_ms": row.projected_ms,
        "left_items": row.left_items,
        "budget_end_ms": row.budget_end,
        "points_at_budget": row.points_at_budget,
        "unsaid": list(row.unsaid),
        "first_ms": speech.first if known else None,
        "last_ms": speech.last if known else None,
        "words": speech.words if known else None,
        "speaking_ms": speech.speaking_ms if known else None,
        "rate_wpm": speech.rate_wpm,
        "rate_band": str(row.rate_band),
        "rate_low": rules.rate_low,
        "rate_high": rules.rate_high,
        "rate_note": row.rate_note,
        "silences": [
            {"start_ms": gap.start, "end_ms": gap.end, "section": gap.section}
            for gap in speech.silences
        ],
        "spans": [
            {"section": span.section, "start_ms": span.start, "end_ms": span.end}
            for span in row.spans
        ],
    }


def drill(row: Drill) -> Json:
    return {
        "rank": row.rank,
        "kind": str(row.kind),
        "title": row.title,
        "sentence": row.sentence,
        "because": row.because,
        "items": list(row.items),
        "critical": row.critical,
        "gain": row.gain,
        "basis": basis(row.basis),
    }


def line(row: Line, *, timed: bool) -> Json:
    return {
        "id": row.id,
        "text": row.text,
        "start_ms": moment(row.start, timed=timed),
        "end_ms": moment(row.end, timed=timed),
        "voice": row.voice,
        "place": row.place,
        "section": row.section,
        "items": list(row.items),
    }


def review(row: Review) -> Json:
    return {
        "item": row.item,
        "old": str(row.old),
        "new": str(row.new),
        "who": row.who,
        "when": row.when,
        "why": row.why,
    }
