"""From lines with times to segments: who speaks, which words, and when each word falls.

Decides: how speaker labels, sound notes and dashes are read, and how the time of a cue is shared
among its words.
Conventions: whole ms, half-open. A cue's time is shared by characters: a word gets a share equal
to its length plus one over the sum of these, and boundaries are rounded once. Pure.
Public: `Cue`, `LineFault`, `spread`, `split_label`, `words_in`, `segments_from`, `order_faults`.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from walkgrade.speech.records import Segment, Word

ROLES = (
    "examiner",
    "evaluator",
    "instructor",
    "trainer",
    "coach",
    "teacher",
    "trainee",
    "student",
    "candidate",
    "applicant",
    "driver",
    "speaker",
    "voice",
)
_LABEL = re.compile(
    rf"\s*(?:[-–—]\s*)?(?P<name>(?:{'|'.join(ROLES)})(?:\s+(?:\d+|[a-z]))?)\s*:\s*(?P<rest>.*)",
    re.IGNORECASE | re.DOTALL,
)
_MARKS = dict.fromkeys(map(ord, "\u200b\u200e\u200f\ufeff"))  # invisible writing marks
_SOUND_NOTE = re.compile(r"\[[^\[\]]*\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """Text with its time and the line of the file it begins on (from 1)."""

    line: int
    start: int
    end: int
    text: str
    speaker: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class LineFault:
    """One thing wrong with a transcript file."""

    line: int
    code: str
    message: str


def split_label(text: str) -> tuple[str, str]:
    """Speaker and rest of "Examiner: go ahead"; the speaker is empty without a label.

    Only a role (examiner, instructor, trainee, speaker ...), alone or with a number or letter as
    in "Speaker 2", is a label: in "Drive shaft: not bent" or "Driver side mirror: clean" the words
    before the colon name a part.
    """
    found = _LABEL.fullmatch(text)
    if found is None:
        return "", text
    return " ".join(found["name"].split()), found["rest"]


def words_in(text: str) -> tuple[str, ...]:
    """The spoken words: no notes in square brackets such as [engine], no lone dashes or dots."""
    tokens = _SOUND_NOTE.sub(" ", text).translate(_MARKS).split()
    return tuple(token for token in tokens if any(letter.isalnum() for letter in token))


def spread(words: Sequence[str], start: int, end: int) -> tuple[Word, ...]:
    """Share ``[start, end)`` among `words` by characters; neighbours touch, none overlap."""
    shares = [len(word) + 1 for word in words]
    total = sum(shares)
    edges = [
        start + round((end - start) * reached / total)
        for reached in itertools.accumulate(shares, initial=0)
    ]
    return tuple(
        Word(text=word, start=a, end=b)
        for word, (a, b) in zip(words, itertools.pairwise(edges), strict=True)
    )


def segments_from(cues: Iterable[Cue]) -> tuple[Segment, ...]:
    """One segment a cue that has words, in the order given, with ids s1, s2, ..."""
    spoken = [(cue, words) for cue in cues if (words := words_in(cue.text))]
    return tuple(
        Segment(
            id=f"s{number}",
            start=cue.start,
            end=cue.end,
            words=spread(words, cue.start, cue.end),
            speaker=cue.speaker,
        )
        for number, (cue, words) in enumerate(spoken, start=1)
    )


def order_faults(cues: Sequence[Cue]) -> Iterator[LineFault]:
    """Cues that end before they begin, begin before their forerunner, or overlap it."""
    before: Cue | None = None
    for cue in cues:
        if cue.end < cue.start:
            yield _order_fault(cue, f"ends at {clock(cue.end)}, before it begins")
        elif before is not None and cue.start < before.start:
            yield _order_fault(
                cue, f"begins before the line {before.line} does ({clock(before.start)})"
            )
        elif before is not None and cue.start < before.end:
            yield _order_fault(
                cue, f"overlaps line {before.line}, which ends at {clock(before.end)}"
            )
        before = cue


def _order_fault(cue: Cue, what: str) -> LineFault:
    return LineFault(line=cue.line, code="I24", message=f"{clock(cue.start)} {what}")


def clock(ms: int) -> str:
    """``hh:mm:ss.mmm`` of whole ms, as in WebVTT."""
    seconds, rest = divmod(ms, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}.{rest:03}"
