"""Typed transcripts: lines of text, with or without times.

Decides: what is a time at the head of a line, where a line ends that has only a start, and how
text without times is laid out.
Conventions: whole ms. Accepted heads of a timed line (docs/speech.md lists them with examples):
``[mm:ss]``, ``[hh:mm:ss]``, the same without brackets, each with optional decimals and an optional
end after ``-`` or ``-->``; or seconds and a tab, or start seconds, tab, end seconds, tab. The
first written line settles whether a file is timed. Where no end is given a line lasts until the
next one, but no longer than `SLOW_MS_PER_WORD` a word; the last lasts `MS_PER_WORD` a word.
Public: `read_plain`, `MS_PER_WORD`.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from walkgrade.speech.cues import Cue, LineFault, split_label, words_in

MS_PER_WORD = 400
"""150 words a minute, an unhurried pace of speech (common practice, no source)."""

SLOW_MS_PER_WORD = 1000
WRAPPED = 40
_CLOCK = r"(?:\d{1,3}:)?\d{1,3}:[0-5]\d(?:[.,]\d{1,3})?"
_SPAN = rf"(?P<start>{_CLOCK})(?:\s*(?:-->|-|–)\s*(?P<end>{_CLOCK}))?"
_SECONDS = r"\d+(?:\.\d+)?"
_HEADS = (
    re.compile(rf"\s*\[\s*{_SPAN}\s*\]\s*(?P<text>.*)"),
    re.compile(rf"\s*{_SPAN}(?:\s+|\s*$)(?P<text>.*)"),
    re.compile(rf"\s*(?P<start>{_SECONDS})\t(?:(?P<end>{_SECONDS})\t)?(?P<text>.*)"),
)
_ALMOST = re.compile(r"\s*(?:\[\s*\d+:[\d:.,]*|\d+:\d[\d:.,]*(?:\s|$))")


@dataclass(slots=True)
class _Line:
    line: int
    start: int
    end: int | None
    text: str
    speaker: str


def read_plain(text: str) -> tuple[list[Cue], list[LineFault], bool]:
    """Cues, faults, and whether the file has times."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1)]
    written = [(number, line) for number, line in lines if line.strip()]
    if not written or not (_head(written[0][1]) or _ALMOST.match(written[0][1])):
        return list(_untimed(lines)), [], False
    timed, faults = _timed(written)
    return list(_with_ends(timed)), faults, True


def _head(line: str) -> re.Match[str] | None:
    return next((found for head in _HEADS if (found := head.fullmatch(line))), None)


def _timed(written: Sequence[tuple[int, str]]) -> tuple[list[_Line], list[LineFault]]:
    """Lines with their times; a line without one goes on with the line before."""
    timed: list[_Line] = []
    faults: list[LineFault] = []
    for number, line in written:
        found = _head(line)
        if found is not None:
            speaker, text = split_label(found["text"])
            end = found["end"]
            timed.append(
                _Line(number, _ms(found["start"]), _ms(end) if end else None, text, speaker)
            )
        elif _ALMOST.match(line) or not timed:
            faults.append(
                LineFault(
                    line=number,
                    code="I23",
                    message=f"bad time {line.strip()[:40]!r}; wanted [mm:ss], [hh:mm:ss] or "
                    "seconds and a tab",
                )
            )
        else:
            timed[-1].text += " " + line.strip()
    return timed, faults


def _ms(time: str) -> int:
    whole, _, rest = time.replace(",", ".").partition(".")
    seconds = 0
    for part in whole.split(":"):
        seconds = seconds * 60 + int(part)
    return seconds * 1000 + (round(float(f"0.{rest}") * 1000) if rest else 0)


def _with_ends(timed: Sequence[_Line]) -> Iterator[Cue]:
    """Give every line an end; lines with the same start share the time to the next one."""
    for _, run in itertools.groupby(enumerate(timed), key=lambda pair: pair[1].start):
        lines = list(run)
        after = lines[-1][0] + 1
        following = timed[after].start if after < len(timed) else None
        yield from _shared([line for _, line in lines], following)


def _shared(lines: Sequence[_Line], following: int | None) -> Iterator[Cue]:
    start = lines[0].start
    counts = [max(1, len(words_in(line.text))) for line in lines]
    longest = start + SLOW_MS_PER_WORD * sum(counts)
    end = start + MS_PER_WORD * sum(counts)
    if following is not None and following > start:
        end = min(following, longest)
    done = 0
    for line, count in zip(lines, counts, strict=True):
        begin = start + (end - start) * done // sum(counts)
        done += count
        stop = start + (end - start) * done // sum(counts)
        given = line.end if line.end is not None else stop
        yield Cue(line=line.line, start=begin, end=given, text=line.text, speaker=line.speaker)


def _untimed(lines: Sequence[tuple[int, str]]) -> Iterator[Cue]:
    """Paragraph lines one after the other at an even pace; times only keep the order."""
    reached = 0
    for number, text in _unwrapped(lines):
        speaker, rest = split_label(text)
        length = MS_PER_WORD * len(words_in(rest))
        yield Cue(line=number, start=reached, end=reached + length, text=rest, speaker=speaker)
        reached += length


def _unwrapped(lines: Sequence[tuple[int, str]]) -> list[tuple[int, str]]:
    """Join a line to the one before when it was clearly broken only to fit the page.

    That is: no empty line between, the one before is at least `WRAPPED` characters long and does
    not end a sentence, and this one begins in lower case.
    """
    joined: list[tuple[int, str]] = []
    gap = True
    for number, line in lines:
        text = line.strip()
        before = joined[-1][1] if joined else ""
        wrapped = len(before) >= WRAPPED and not before.endswith((".", "?", "!", ":", ";"))
        if text and not gap and wrapped and text[0].islower():
            joined[-1] = (joined[-1][0], f"{before} {text}")
        elif text:
            joined.append((number, text))
        gap = not text
    return joined
