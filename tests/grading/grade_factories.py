"""Small checklists and findings with every argument defaulted, so a test names what matters."""

from __future__ import annotations

from fractions import Fraction

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
from walkgrade.speech.records import Segment, Transcript, Word

BASIS = Basis(title="Test manual", section="1.1", standing=Standing.PUBLISHED)
TREAD = Limit(
    quantity="tread depth",
    comparator=Comparator.AT_LEAST,
    low=Fraction(4, 32),
    high=None,
    accept_low=Fraction(4, 32),
    accept_high=Fraction(4, 32),
    unit="in",
)
LEAK = Limit(
    quantity="pressure drop",
    comparator=Comparator.AT_MOST,
    low=None,
    high=Fraction(3),
    accept_low=Fraction(3),
    accept_high=Fraction(3),
    unit="psi",
)


def requirement(
    id: str, says: str = "", *, required: bool = True, limit: Limit | None = None
) -> Requirement:
    return Requirement(
        id=id,
        row="R1",
        kind=Kind.LIMIT if limit else Kind.CONDITION,
        says=says or id.rsplit(".", 1)[-1].replace("-", " "),
        required=required,
        limit=limit,
        basis=(BASIS,),
    )


def item(
    id: str,
    *conditions: str,
    title: str = "",
    row: str = "",
    section: str = "",
    place: str = "",
    step: int = 0,
    critical: bool = False,
    requirements: tuple[Requirement, ...] = (),
) -> Item:
    """An item whose section and place come from its id: ``engine.oil`` stands in ``engine``."""
    zone, _, short = id.partition(".")
    return Item(
        id=id,
        title=title or short.replace("-", " ").capitalize(),
        row=row or id,
        section=section or zone,
        place=place or zone,
        names=(short,),
        requirements=requirements
        or tuple(requirement(f"{id}.{name}") for name in conditions or ("secure",)),
        why="",
        step=step,
        critical=critical,
    )


def checklist(
    *items: Item, budget_s: int = 600, budgets: dict[str, int] | None = None, **values: object
) -> Checklist:
    rows = items or (item("engine.oil"), item("engine.belt"), item("cab.horn"))
    sections = dict.fromkeys(row.section for row in rows)
    places = dict.fromkeys(row.place for row in rows)
    procedures = {row.section for row in rows if row.step}
    return Checklist(
        **{  # type: ignore[arg-type]
            "id": "test-list",
            "version": "1.0",
            "title": "Test list",
            "vehicle": "bus",
            "edition": "test",
            "budget_s": budget_s,
            "cautions": ("Set the parking brake.",),
            "places": tuple(Place(id=name, title=name.capitalize()) for name in places),
            "sections": tuple(
                Section(
                    id=name,
                    title=name.capitalize(),
                    budget_s=(budgets or {}).get(name, budget_s // len(sections)),
                    procedure=name in procedures,
                )
                for name in sections
            ),
            "items": rows,
            "sha256": "0" * 64,
            **values,
        }
    )


def evidence(
    start: int = 0, end: int | None = None, quote: str = "words", **kw: object
) -> Evidence:
    return Evidence(
        **{  # type: ignore[arg-type]
            "utterance": "u1",
            "quote": quote,
            "start": start,
            "end": start + 1_000 if end is None else end,
            "confidence": 0.9,
            **kw,
        }
    )


_TELLS = {
    ItemOutcome.COMPLETE: Outcome.SAID,
    ItemOutcome.NEEDS_LISTENING: Outcome.UNCLEAR,
    ItemOutcome.WRONG: Outcome.CONTRADICTED,
}


def found(
    entry: Item,
    outcome: ItemOutcome = ItemOutcome.COMPLETE,
    *,
    at: int | None = 1_000,
    said: tuple[str, ...] | None = None,
    late: bool = False,
    close_call: bool = False,
) -> ItemFinding:
    """A finding of `entry`; the outcome of its requirements follows unless `said` names them."""
    quiet = outcome is ItemOutcome.MISSED or at is None
    rows = []
    for part in entry.requirements:
        tells = _TELLS.get(outcome, Outcome.NOT_SAID)
        if said is not None and part.id.rsplit(".", 1)[-1] in said:
            tells = Outcome.SAID
        heard = () if tells is Outcome.NOT_SAID or at is None else (evidence(at),)
        rows.append(
            RequirementFinding(
                requirement=part.id,
                required=part.required,
                outcome=tells,
                confidence=0.9,
                evidence=heard,
                reason="because",
            )
        )
    return ItemFinding(
        item=entry.id,
        outcome=outcome,
        confidence=0.8,
        named=() if quiet or at is None else (evidence(at),),
        requirements=tuple(rows),
        late=late,
        close_call=close_call,
    )


def findings(*rows: ItemFinding, **values: object) -> Findings:
    return Findings(
        **{  # type: ignore[arg-type]
            "checklist": "test-list",
            "profile": "test-bus",
            "items": rows,
            "numbers": (),
            "remarks": (),
            "visits": (),
            "steps": (),
            "lines": (),
            **values,
        }
    )


def number(
    entry: Item, verdict: NumberVerdict = NumberVerdict.OUT_OF_RANGE, **values: object
) -> NumberFinding:
    part = next(part for part in entry.requirements if part.limit)
    return NumberFinding(
        **{  # type: ignore[arg-type]
            "item": entry.id,
            "requirement": part.id,
            "said": "at least 2/32 in",
            "value_low": "2/32",
            "value_high": "",
            "unit": "in",
            "comparator": "at least",
            "verdict": verdict,
            "accepted": "at least 4/32 in",
            "evidence": evidence(2_000),
            **values,
        }
    )


def remark(kind: RemarkKind, *items: str, note: str = "note", start: int = 0) -> Remark:
    return Remark(kind=kind, note=note, evidence=evidence(start), items=items)


def step(entry: Item, state: StepState = StepState.IN_ORDER, position: int = 1) -> StepFinding:
    return StepFinding(
        section=entry.section, item=entry.id, step=entry.step, state=state, position=position
    )


def visit(place: str, start: int, end: int) -> Visit:
    return Visit(place=place, start=start, end=end)


def line(
    id: str, start: int, end: int, *, text: str = "words", section: str = "", voice: str = "trainee"
) -> Line:
    return Line(
        id=id,
        text=text,
        start=start,
        end=end,
        voice=voice,
        place=section,
        section=section,
        items=(),
    )


def words(*spans: tuple[int, int]) -> tuple[Word, ...]:
    return tuple(Word(text=f"w{n}", start=a, end=b) for n, (a, b) in enumerate(spans))


def transcript(*spans: tuple[int, int], timed: bool = True) -> Transcript:
    row = words(*spans)
    finish = row[-1].end if row else 0
    segment = Segment(id="s1", start=row[0].start if row else 0, end=finish, words=row)
    return Transcript(id="t1", segments=(segment,), duration=finish, timed=timed)
