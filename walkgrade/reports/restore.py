"""From a grade document back to records, and a new grade after an instructor's review.

Decides: nothing; the grading room computes the new figures. A document holds what a second grading
needs (applicable items, findings, policy, speech), so no checklist file and no sound are needed.
Conventions: the restored checklist holds the graded items only, without names, concepts and
patterns; moments that are null become 0 and stay null in the next document.
Public: checklist_of, findings_of, policy_of, speech_of, reviews_of, attempt_of, source_of_document,
regrade.
"""

from __future__ import annotations

from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

from walkgrade.checklists.records import (
    Basis,
    Checklist,
    Comparator,
    Item,
    Kind,
    Limit,
    Place,
    Requirement,
    Section,
    Standing,
)
from walkgrade.grading.grade import grade
from walkgrade.grading.pace_records import Silence, Speech
from walkgrade.grading.records import Policy, Review
from walkgrade.matching.records import (
    Evidence,
    Findings,
    ItemFinding,
    ItemOutcome,
    Line,
    NumberFinding,
    NumberVerdict,
    Outcome,
    Remark,
    RemarkKind,
    RequirementFinding,
    StepFinding,
    StepState,
    Visit,
)
from walkgrade.reports.document import Attempt, Document, Source, to_document

Json = dict[str, Any]


def regrade(document: Document, reviews: tuple[Review, ...], *, graded_at: str = "") -> Document:
    """The document after `reviews` (added to those it holds, oldest first).

    Parameters
    ----------
    document : as read by `read_document`; it is not changed.
    reviews : the new changes; each keeps both calls.
    graded_at : ISO 8601 text of the new grading; empty keeps the old one.

    Raises
    ------
    InputError ``I72`` when a review names an item that was not graded.
    """
    checklist, findings = checklist_of(document), findings_of(document)
    result = grade(
        findings,
        checklist,
        speech_of(document),
        policy_of(document),
        reviews=reviews_of(document) + reviews,
    )
    source = source_of_document(document)
    if graded_at:
        source = replace(source, graded_at=graded_at)
    return to_document(result, findings, checklist, source, attempt_of(document))


def attempt_of(document: Document) -> Attempt:
    """Who, what and when."""
    return Attempt(**document["attempt"])


def source_of_document(document: Document) -> Source:
    """Provenance as written."""
    made = document["provenance"]
    heard = made["transcript"]
    plain = ("origin", "timed", "language", "duration_ms", "model", "model_sha256", "settings")
    return Source(
        tool=made["tool"],
        tool_version=made["tool_version"],
        graded_at=made["graded_at"],
        profile_title=made["profile"]["title"],
        transcript_id=heard["id"],
        transcript_sha256=heard["sha256"],
        audio_sha256=heard["audio_sha256"],
        notices=tuple(heard["notices"]),
        **{key: heard[key] for key in plain},
    )


def policy_of(document: Document) -> Policy:
    """The policy the document was graded under."""
    row = document["provenance"]["policy"]
    points = tuple((entry["item"], entry["points"]) for entry in row["item_points"])
    values: Json = {field.name: row[field.name] for field in fields(Policy)}
    return Policy(**(values | {"item_points": points}))


def speech_of(document: Document) -> Speech:
    """What the word times told."""
    row = document["pace"]
    if not row["known"]:
        return Speech(known=False)
    return Speech(
        known=True,
        words=row["words"],
        speaking_ms=row["speaking_ms"],
        first=row["first_ms"],
        last=row["last_ms"],
        rate_wpm=row["rate_wpm"],
        silences=tuple(
            Silence(start=gap["start_ms"], end=gap["end_ms"], section=gap["section"])
            for gap in row["silences"]
        ),
    )


def reviews_of(document: Document) -> tuple[Review, ...]:
    """Every review, oldest first."""
    return tuple(
        Review(
            item=row["item"],
            old=ItemOutcome(row["old"]),
            new=ItemOutcome(row["new"]),
            who=row["who"],
            when=row["when"],
            why=row["why"],
        )
        for row in document["reviews"]
    )


def checklist_of(document: Document) -> Checklist:
    """The graded part of the checklist."""
    head = document["provenance"]["checklist"]
    return Checklist(
        id=head["id"],
        version=head["version"],
        title=head["title"],
        vehicle=head["vehicle"],
        edition=head["edition"],
        sha256=head["sha256"],
        budget_s=head["budget_ms"] // 1_000,
        cautions=tuple(document["cautions"]),
        places=tuple(Place(id=row["id"], title=row["title"]) for row in document["places"]),
        sections=tuple(
            Section(
                id=row["id"],
                title=row["title"],
                budget_s=row["budget_ms"] // 1_000,
                procedure=row["procedure"],
            )
            for row in document["sections"]
        ),
        items=tuple(_item(row) for row in document["items"]),
    )


def _item(row: Json) -> Item:
    same = ("id", "title", "row", "section", "place", "why", "caution", "step", "critical")
    return Item(
        names=(row["title"],),
        requirements=tuple(_requirement(part) for part in row["requirements"]),
        **{key: row[key] for key in same},
    )


def _requirement(row: Json) -> Requirement:
    return Requirement(
        id=row["id"],
        row=row["row"],
        kind=Kind(row["kind"]),
        says=row["says"],
        required=row["required"],
        limit=_limit(row["limit"]) if row["limit"] else None,
        basis=tuple(
            Basis(
                title=entry["title"],
                section=entry["section"],
                standing=Standing(entry["standing"]),
            )
            for entry in row["basis"]
        ),
    )


def _limit(row: Json) -> Limit:
    return Limit(
        quantity=row["quantity"],
        comparator=Comparator(row["comparator"]),
        low=None if row["low"] is None else Fraction(row["low"]),
        high=None if row["high"] is None else Fraction(row["high"]),
        accept_low=Fraction(row["accept_low"]),
        accept_high=Fraction(row["accept_high"]),
        unit=row["unit"],
    )


def findings_of(document: Document) -> Findings:
    """What the match found, before any review."""
    order = document["order"]
    return Findings(
        checklist=document["provenance"]["checklist"]["id"],
        profile=document["provenance"]["profile"]["id"],
        items=tuple(_item_finding(row) for row in document["items"]),
        numbers=tuple(_number(row) for row in document["numbers"]),
        remarks=tuple(
            Remark(
                kind=RemarkKind(row["kind"]),
                note=row["note"],
                items=tuple(row["items"]),
                evidence=_evidence(row["evidence"]),
            )
            for row in document["remarks"]
        ),
        visits=tuple(
            Visit(place=row["place"], start=row["start_ms"] or 0, end=row["end_ms"] or 0)
            for row in order["visits"]
        ),
        steps=tuple(
            StepFinding(
                section=row["section"],
                item=row["item"],
                step=row["step"],
                state=StepState(row["state"]),
                position=row["position"],
                evidence=_all_evidence(row["evidence"]),
            )
            for row in order["steps"]
        ),
        lines=tuple(_line(row) for row in document["lines"]),
    )


def _item_finding(row: Json) -> ItemFinding:
    return ItemFinding(
        item=row["id"],
        outcome=ItemOutcome(row["heard"]),
        confidence=row["confidence"],
        named=_all_evidence(row["named"]),
        late=row["late"],
        close_call=row["close_call"],
        requirements=tuple(
            RequirementFinding(
                requirement=part["id"],
                required=part["required"],
                outcome=Outcome(part["outcome"]),
                confidence=part["confidence"],
                evidence=_all_evidence(part["evidence"]),
                reason=part["reason"],
                carried_from=part["carried_from"],
            )
            for part in row["requirements"]
        ),
    )


def _number(row: Json) -> NumberFinding:
    same = ("item", "requirement", "said", "value_low", "value_high", "unit", "comparator")
    return NumberFinding(
        verdict=NumberVerdict(row["verdict"]),
        accepted=row["accepted"],
        evidence=_evidence(row["evidence"]),
        **{key: row[key] for key in same},
    )


def _line(row: Json) -> Line:
    same = ("id", "text", "voice", "place", "section")
    return Line(
        start=row["start_ms"] or 0,
        end=row["end_ms"] or 0,
        items=tuple(row["items"]),
        **{key: row[key] for key in same},
    )


def _evidence(row: Json) -> Evidence:
    return Evidence(
        utterance=row["utterance"],
        quote=row["quote"],
        start=row["start_ms"] or 0,
        end=row["end_ms"] or 0,
        confidence=row["confidence"],
    )


def _all_evidence(rows: list[Json]) -> tuple[Evidence, ...]:
    return tuple(_evidence(row) for row in rows)
