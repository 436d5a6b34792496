"""A full-size invented run over a reference checklist: every kind of finding, spread by a fixed
pattern. Nothing here was recorded; it shows how a long report reads."""

from __future__ import annotations

from itertools import cycle

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.grading.grade import grade
from walkgrade.grading.records import Review
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
from walkgrade.reports.document import Attempt, Document, source_of, to_document
from walkgrade.speech.records import Segment, Transcript, Word

C, I, N, M, W, L = (  # noqa: E741
    ItemOutcome.COMPLETE,
    ItemOutcome.INCOMPLETE,
    ItemOutcome.NAMED_ONLY,
    ItemOutcome.MISSED,
    ItemOutcome.WRONG,
    ItemOutcome.NEEDS_LISTENING,
)
PATTERN = (C, C, C, C, I, C, C, C, L, C, C, M, C, C, C, C, C, N, C, C, C, C, C, C, M, C, C, W, C)
TELLS = {C: Outcome.SAID, W: Outcome.CONTRADICTED, L: Outcome.UNCLEAR}


def _outcomes(checklist: Checklist) -> dict[str, ItemOutcome]:
    kinds = cycle(PATTERN)
    out = {item.id: next(kinds) for item in checklist.items}
    critical = [item.id for item in checklist.items if item.critical]
    for item_id, kind in zip(critical, cycle((C, C, M, C, L)), strict=False):
        out[item_id] = kind
    tread = next(item.id for item in checklist.items if item.title.startswith("Tire tread"))
    return out | {tread: W}


class _Talk:
    """Writes the run line by line, 430 ms a word, with a long silence now and then."""

    def __init__(self) -> None:
        self.now, self.lines, self.words = 4_000, [], []  # type: ignore[var-annotated]

    def say(self, text: str, item: Item, *, voice: str = "trainee", pause: int = 900) -> Evidence:
        self.now += pause
        start = self.now
        for word in text.split():
            self.words.append(Word(text=word, start=self.now, end=self.now + 380, prob=0.9))
            self.now += 430
        name = f"u{len(self.lines) + 1}"
        self.lines.append(
            Line(
                id=name,
                text=text,
                start=start,
                end=self.now,
                voice=voice,
                place=item.place,
                section=item.section,
                items=(item.id,) if voice == "trainee" else (),
            )
        )
        return Evidence(utterance=name, quote=text, start=start, end=self.now, confidence=0.91)


def _part(
    part: Requirement, kind: ItemOutcome, number: int, heard: Evidence | None
) -> RequirementFinding:
    outcome = TELLS.get(kind, Outcome.NOT_SAID)
    if kind in (I, L, W) and number > 0:
        outcome = Outcome.SAID
    reasons = {
        Outcome.SAID: "Said of this part.",
        Outcome.UNCLEAR: "The words may be there, the sound was too weak to tell.",
        Outcome.NOT_SAID: "Not heard.",
        Outcome.CONTRADICTED: "The value or the condition was said the wrong way.",
    }
    return RequirementFinding(
        requirement=part.id,
        required=part.required,
        outcome=outcome,
        confidence=0.55 if outcome is Outcome.UNCLEAR else 0.93,
        evidence=(heard,) if heard and outcome is not Outcome.NOT_SAID else (),
        reason=reasons[outcome],
    )


def _said(item: Item, kind: ItemOutcome) -> str:
    parts = item.requirements if kind is C else item.requirements[1:]
    tail = "" if kind is N else ", ".join(part.says for part in parts if part.required)
    return f"{item.names[0].capitalize()}{', ' + tail if tail else ''}."


def _findings(checklist: Checklist) -> tuple[Findings, tuple[Word, ...]]:
    talk, kinds = _Talk(), _outcomes(checklist)
    rows, numbers, visits, steps = [], [], [], []
    for count, item in enumerate(checklist.items):
        kind = kinds[item.id]
        heard = None
        if kind is not M:
            pause = 24_000 if count % 33 == 32 else 7_200 if count % 9 else 13_500
            heard = talk.say(_said(item, kind), item, pause=pause)
            if count % 40 == 20:
                talk.say("Okay, carry on.", item, voice="other")
            if not visits or visits[-1].place != item.place:
                visits.append(Visit(place=item.place, start=heard.start, end=heard.end))
        rows.append(
            ItemFinding(
                item=item.id,
                outcome=kind,
                confidence=0.55 if kind is L else 0.94,
                named=(heard,) if heard else (),
                requirements=tuple(
                    _part(part, kind, n, heard) for n, part in enumerate(item.requirements)
                ),
                late=count == 7,
            )
        )
        numbers += _numbers(item, kind, heard)
        if item.step:
            state = {M: StepState.MISSING, L: StepState.UNFINISHED}.get(kind, StepState.IN_ORDER)
            steps.append(
                StepFinding(
                    section=item.section,
                    item=item.id,
                    step=item.step,
                    state=state,
                    position=0 if kind is M else len(steps) + 1,
                    evidence=(heard,) if heard else (),
                )
            )
    marks = _remarks(talk)
    findings = Findings(
        checklist=checklist.id,
        profile="yard-bus-air",
        items=tuple(rows),
        numbers=tuple(numbers),
        remarks=marks,
        visits=tuple(visits),
        steps=tuple(steps),
        lines=tuple(talk.lines),
    )
    return findings, tuple(talk.words)


def _numbers(item: Item, kind: ItemOutcome, heard: Evidence | None) -> list[NumberFinding]:
    parts = [part for part in item.requirements if part.limit]
    if not parts or heard is None or kind not in (C, W):
        return []
    verdict = NumberVerdict.RIGHT if kind is C else NumberVerdict.OUT_OF_RANGE
    said = parts[0].says if kind is C else "at least 2/32 in"
    return [
        NumberFinding(
            item=item.id,
            requirement=parts[0].id,
            said=said,
            value_low="",
            value_high="",
            unit=parts[0].limit.unit,  # type: ignore[union-attr]
            comparator="at least",
            verdict=verdict,
            accepted=parts[0].says,
            evidence=heard,
        )
    ]


def _remarks(talk: _Talk) -> tuple[Remark, ...]:
    picks = (
        (10, RemarkKind.BLANKET, "A claim about everything at once."),
        (25, RemarkKind.HEDGE, "'should be' leaves it open."),
        (40, RemarkKind.VAGUE, "No number was given."),
        (55, RemarkKind.HEDGE, "'I think' leaves it open."),
        (70, RemarkKind.DEFECT, "A leak was stated."),
    )
    out = []
    for at, kind, note in picks:
        line = talk.lines[min(at, len(talk.lines) - 1)]
        piece = Evidence(
            utterance=line.id, quote=line.text, start=line.start, end=line.end, confidence=0.9
        )
        out.append(Remark(kind=kind, note=note, evidence=piece, items=line.items))
    return tuple(out)


def big_document() -> Document:
    """The grade document of the run."""
    profile = find_profile("yard-bus-air")
    checklist = applicable(find_checklist("school-bus-air-classic"), profile)
    findings, words = _findings(checklist)
    finish = words[-1].end
    transcript = Transcript(
        id="run-17",
        segments=(Segment(id="s1", start=words[0].start, end=finish, words=words),),
        duration=finish + 3_000,
        origin="recognised",
        model="small.en",
        audio_sha256="c0ffee" * 10 + "beef",
    )
    doubtful = next(row.item for row in findings.items if row.outcome is L)
    call = Review(
        item=doubtful,
        old=L,
        new=C,
        who="Ada Quill",
        when="2030-05-02T10:14:00",
        why="Clear on the second hearing.",
    )
    result = grade(findings, checklist, transcript, reviews=(call,))
    return to_document(
        result,
        findings,
        checklist,
        source_of(transcript, graded_at="2030-05-01T09:52:10", profile_title=profile.title),
        Attempt(
            id="run-17",
            trainee="Rosalind Okafor-Lindqvist",
            vehicle="Yard bus 12",
            group="Spring evening class",
            taken_at="2030-05-01T09:20",
            audio="run-17.wav",
        ),
    )
