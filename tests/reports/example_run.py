"""One invented run with something of everything, for the report tests."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import grade_factories as make

from walkgrade.checklists.records import Checklist
from walkgrade.grading.grade import grade
from walkgrade.grading.records import Grade
from walkgrade.matching.records import Findings, ItemOutcome, NumberVerdict, RemarkKind, StepState
from walkgrade.reports.document import Attempt, Document, Source, source_of, to_document
from walkgrade.speech.records import Transcript


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A graded run with all that its reports need."""

    checklist: Checklist
    findings: Findings
    transcript: Transcript
    grade: Grade
    source: Source
    attempt: Attempt

    def document(self) -> Document:
        return to_document(self.grade, self.findings, self.checklist, self.source, self.attempt)


def _checklist() -> Checklist:
    return make.checklist(
        make.item("engine.oil", "level", "shown", title="Oil level"),
        make.item("engine.belt", "no-crack", "snug", title="Belts"),
        make.item(
            "axle.tyre",
            title="Steer tyre",
            requirements=(make.requirement("axle.tyre.depth", "at least 4/32 inch",
                                           limit=make.TREAD),),
        ),
        make.item("brakes.charge", title="Charge the system", step=1, critical=True),
        make.item(
            "brakes.leak",
            title="Leak with brakes applied",
            step=2,
            critical=True,
            requirements=(
                make.requirement("brakes.leak.held", "full pedal for one minute"),
                make.requirement("brakes.leak.drop", "at most 3 psi in 1 minute", limit=make.LEAK),
            ),
        ),
        make.item("cab.horn", title="Horn"),
        make.item("cab.mirrors", "clean", "adjusted", title="Mirrors"),
        make.item("rear.lamps", title="Tail lamps"),
        budget_s=60,
    )  # fmt: skip


def _findings(checklist: Checklist, text: str) -> Findings:
    item = {entry.id: entry for entry in checklist.items}
    rows = (
        make.found(item["engine.oil"], at=1_000, close_call=True),
        make.found(item["engine.belt"], ItemOutcome.INCOMPLETE, at=4_000, said=("snug",)),
        make.found(item["axle.tyre"], ItemOutcome.WRONG, at=14_000),
        make.found(item["brakes.charge"], at=30_000),
        make.found(item["brakes.leak"], ItemOutcome.MISSED, at=None),
        make.found(item["cab.horn"], at=62_000, late=True),
        make.found(item["cab.mirrors"], ItemOutcome.NEEDS_LISTENING, at=50_000),
        make.found(item["rear.lamps"], ItemOutcome.NAMED_ONLY, at=66_000),
    )
    return make.findings(
        *rows,
        numbers=(
            make.number(item["axle.tyre"]),
            make.number(item["brakes.leak"], NumberVerdict.WRONG_DIRECTION, said=text),
        ),
        remarks=(
            make.remark(RemarkKind.BLANKET, note="everything is good"),
            make.remark(RemarkKind.HEDGE, "engine.belt", note=text, start=5_000),
            make.remark(RemarkKind.DEFECT, "axle.tyre", note="a stated defect", start=15_000),
        ),
        visits=(
            make.visit("engine", 1_000, 9_000),
            make.visit("axle", 9_000, 20_000),
            make.visit("engine", 20_000, 25_000),
            make.visit("brakes", 25_000, 68_000),
        ),
        steps=(
            make.step(item["brakes.charge"], StepState.SWAPPED, 2),
            make.step(item["brakes.leak"], StepState.MISSING, 0),
        ),
        lines=(
            make.line("u1", 1_000, 9_000, section="engine", text=f"Oil level is fine. {text}"),
            make.line("u2", 14_000, 20_000, section="axle", text="Tread two thirty-seconds."),
            make.line("u3", 21_000, 23_000, text="Go on.", voice="other"),
            make.line("u4", 30_000, 40_000, section="brakes"),
            make.line("u5", 50_000, 55_000, section="cab"),
            make.line("u6", 62_000, 68_000, section="cab"),
        ),
    )


@cache
def example(*, timed: bool = True, text: str = "plain words") -> Run:
    """The run; `text` turns up wherever a person's or a trainee's own words may stand."""
    checklist = _checklist()
    findings = _findings(checklist, text)
    spans = [(n * 500 + 1_000, n * 500 + 1_300) for n in range(16)]
    spans += [(n * 500 + 14_000, n * 500 + 14_400) for n in range(12)]
    spans += [(21_000, 21_400), (30_000, 30_400), (50_000, 50_600), (62_000, 62_500)]
    transcript = make.transcript(*spans, (67_500, 68_000), timed=timed)
    return Run(
        checklist=checklist,
        findings=findings,
        transcript=transcript,
        grade=grade(findings, checklist, transcript),
        source=source_of(transcript, graded_at="2030-05-01T09:31:00", profile_title=text),
        attempt=Attempt(
            id="run-1",
            trainee=text,
            vehicle=text,
            group=text,
            taken_at="2030-05-01T09:00:00",
            audio="run-1.wav",
            note=text,
        ),
    )
