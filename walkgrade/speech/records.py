"""Records of recognised or typed speech.

Conventions: times are whole milliseconds from the start of the recording, half-open
``[start, end)``; probabilities in 0..1; speakers are labels, empty when unknown.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """One word as written, with its time and the recogniser's probability (1.0 when typed)."""

    text: str
    start: int
    end: int
    prob: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """A stretch of speech by one speaker; `words` in time order."""

    id: str
    start: int
    end: int
    words: tuple[Word, ...]
    speaker: str = ""

    @property
    def text(self) -> str:
        """The words joined by single spaces."""
        return " ".join(word.text for word in self.words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Transcript:
    """Everything said in one recording.

    `origin` is ``recognised`` or ``typed``; `witnesses` holds segments of further passes over the
    same sound, from files of others: nothing here makes or credits them. `timed` is False for text
    without times.
    """

    id: str
    segments: tuple[Segment, ...]
    duration: int
    language: str = "en"
    origin: str = "typed"
    timed: bool = True
    audio_sha256: str = ""
    model: str = ""
    model_sha256: str = ""
    settings: str = ""
    witnesses: tuple[Segment, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundNotice:
    """Something about the sound the reader should know; grading goes on. `code` is ``N`` + 2."""

    code: str
    text: str
