"""The project's own transcript file: JSON, version 1.

Decides: how a `Transcript` is written down and what is checked when it is read back.
Conventions: keys as in the records; times in whole ms; unknown keys are refused.
Public: `FORMAT`, `VERSION`, `as_data`, `from_data`, `time_faults`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from walkgrade.speech.records import Segment, Transcript, Word

FORMAT = "walkgrade-transcript"
VERSION = 1

Ms = Annotated[int, Field(ge=0)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _Word(_Strict):
    text: Annotated[str, Field(min_length=1)]
    start: Ms
    end: Ms
    prob: Annotated[float, Field(ge=0, le=1)] = 1.0


class _Segment(_Strict):
    id: str
    start: Ms
    end: Ms
    words: list[_Word]
    speaker: str = ""


class TranscriptFile(_Strict):
    """Shape of the file."""

    format: Literal["walkgrade-transcript"]
    version: Literal[1]
    id: str
    segments: list[_Segment]
    duration: Ms
    language: str = "en"
    origin: Literal["recognised", "typed"] = "typed"
    timed: bool = True
    audio_sha256: str = ""
    model: str = ""
    model_sha256: str = ""
    settings: str = ""
    witnesses: list[_Segment] = []


def as_data(transcript: Transcript) -> dict[str, Any]:
    """Plain dicts and lists, ready for `json.dumps`."""
    return {"format": FORMAT, "version": VERSION, **asdict(transcript)}


def from_data(data: object) -> Transcript:
    """The transcript of `as_data`'s form (lists become tuples).

    Raises
    ------
    pydantic.ValidationError : the shape is wrong; every fault is listed with its path.
    """
    file = TranscriptFile.model_validate(data)
    return Transcript(
        id=file.id,
        segments=tuple(_segment(segment) for segment in file.segments),
        duration=file.duration,
        language=file.language,
        origin=file.origin,
        timed=file.timed,
        audio_sha256=file.audio_sha256,
        model=file.model,
        model_sha256=file.model_sha256,
        settings=file.settings,
        witnesses=tuple(_segment(segment) for segment in file.witnesses),
    )


def _segment(segment: _Segment) -> Segment:
    return Segment(
        id=segment.id,
        start=segment.start,
        end=segment.end,
        words=tuple(Word(**word.model_dump()) for word in segment.words),
        speaker=segment.speaker,
    )


def time_faults(transcript: Transcript) -> Iterator[tuple[str, str]]:
    """Path and text of each time that runs backwards, overlaps or leaves the recording."""
    for name in ("segments", "witnesses"):
        before = 0
        for index, segment in enumerate(getattr(transcript, name)):
            path = f"$.{name}[{index}]"
            if segment.start < before and name == "segments":
                yield path, f"starts at {segment.start} ms, before {before} ms where the last ended"
            if segment.end < segment.start:
                yield path, f"ends at {segment.end} ms, before its start {segment.start} ms"
            if segment.end > transcript.duration:
                yield path, f"ends at {segment.end} ms, after the end {transcript.duration} ms"
            before = segment.end
            yield from _word_faults(segment, path)


def _word_faults(segment: Segment, path: str) -> Iterator[tuple[str, str]]:
    before = segment.start
    for index, word in enumerate(segment.words):
        if not before <= word.start <= word.end <= segment.end:
            yield (
                f"{path}.words[{index}]",
                f"[{word.start}, {word.end}) ms does not follow {before} ms "
                f"within [{segment.start}, {segment.end}) ms",
            )
        before = max(before, word.end)
