"""Spoken lines in, what they earned out, so that a test row reads like a labelled script.

A line may open with ``examiner:`` or ``other:``; every other line is the trainee's. `earned` and
`wrong` are written ``"item short short; item short"``, as in a script's labels.
"""

from __future__ import annotations

from functools import lru_cache

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist
from walkgrade.language.read import read
from walkgrade.language.records import Reading
from walkgrade.language.run_reader import RunReader
from walkgrade.matching.match import match
from walkgrade.matching.records import (
    Findings,
    ItemFinding,
    ItemOutcome,
    Outcome,
    RemarkKind,
    StepState,
)
from walkgrade.speech.records import Segment, Transcript, Word
from walkgrade.trained import load_judge, load_readers

_WORD_MS = 400
_PAUSE_MS = 700
_VOICES = ("examiner", "other", "trainee")


@lru_cache(maxsize=1)
def yard_bus() -> Checklist:
    """The classic test as it applies to the yard bus with air brakes (loaded once)."""
    return applicable(find_checklist("school-bus-air-classic"), find_profile("yard-bus-air"))


def transcript(*lines: str, start: int = 0) -> Transcript:
    """Lines as a typed transcript; labelled by speaker only when another speaks."""
    pairs = [_voice(line) for line in lines]
    labelled = any(voice != "trainee" for voice, _ in pairs)
    segments, now = [], start
    for number, (voice, text) in enumerate(pairs, 1):
        now += _PAUSE_MS
        words = []
        for word in text.split():
            words.append(Word(text=word, start=now, end=now + _WORD_MS))
            now += _WORD_MS
        segments.append(
            Segment(
                id=f"l{number}", start=words[0].start, end=now, words=tuple(words),
                speaker=voice if labelled else "",
            )
        )  # fmt: skip
    return Transcript(id="lines", segments=tuple(segments), duration=now + _PAUSE_MS)


def _voice(line: str) -> tuple[str, str]:
    voice, colon, text = line.partition(": ")
    return (voice, text) if colon and voice in _VOICES else ("trainee", line)


def reading(
    *lines: str, checklist: Checklist | None = None, reader: RunReader | None = None
) -> Reading:
    """The lines, read against a checklist (default: the yard bus)."""
    return read(transcript(*lines), checklist or yard_bus(), reader)


def heard(*lines: str, checklist: Checklist | None = None, judged: bool = False) -> Findings:
    """What the matcher finds in the lines: by the rules alone, or `judged` as shipped."""
    fitted = checklist or yard_bus()
    reader, judge = (load_readers(), load_judge()) if judged else (None, None)
    lines_read = reading(*lines, checklist=fitted, reader=reader)
    return match(lines_read, fitted, "test-vehicle", judge=judge)


def earned(findings: Findings) -> set[str]:
    """Every requirement that counts as said, required or optional."""
    return _with(findings, Outcome.SAID)


def wrong(findings: Findings) -> set[str]:
    """Every requirement that stands contradicted."""
    return _with(findings, Outcome.CONTRADICTED)


def unclear(findings: Findings) -> set[str]:
    """Every requirement that is worth a listen."""
    return _with(findings, Outcome.UNCLEAR)


def _with(findings: Findings, outcome: Outcome) -> set[str]:
    return {r.requirement for i in findings.items for r in i.requirements if r.outcome == outcome}


def labels(text: str) -> set[str]:
    """``"engine.coolant level; engine.hoses leak undamaged"`` as full requirement ids."""
    found: set[str] = set()
    for part in filter(None, (one.strip() for one in text.split(";"))):
        item, *shorts = part.split()
        assert shorts, f"no requirement named in {part!r}"
        found.update(f"{item}.{short}" for short in shorts)
    known = {r.id for item in yard_bus().items for r in item.requirements}
    assert found <= known, found - known
    return found


def finding(findings: Findings, item: str) -> ItemFinding:
    """The finding of one item."""
    return next(one for one in findings.items if one.item == item)


def named(findings: Findings) -> set[str]:
    """Items that were named."""
    return {one.item for one in findings.items if one.named}


def outcomes(findings: Findings) -> dict[str, ItemOutcome]:
    """Outcome of each item."""
    return {one.item: one.outcome for one in findings.items}


def remarks(findings: Findings) -> set[RemarkKind]:
    """Kinds of remarks made."""
    return {one.kind for one in findings.remarks}


def clashes(findings: Findings) -> set[str]:
    """Items of which something was said that the vehicle has not."""
    return {i for one in findings.remarks if one.kind is RemarkKind.PROFILE for i in one.items}


def states(findings: Findings, section: str = "air-brake") -> dict[str, StepState]:
    """State of each step of a procedure."""
    return {one.item: one.state for one in findings.steps if one.section == section}
