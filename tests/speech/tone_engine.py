"""Tones that stand for words, and an engine that hears them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from walkgrade.speech.engine import HeardWord, Piece
from walkgrade.speech.timeline import RATE, Region

FRAME = RATE // 100

Samples = NDArray[np.float32]


def burst(word: int, ms: int = 300) -> Samples:
    """A tone that stands for word number `word` (0 to 60)."""
    t = np.arange(ms * RATE // 1000) / RATE
    return (0.3 * np.sin(2 * np.pi * (400 + 50 * word) * t)).astype(np.float32)


def talk(words: Sequence[tuple[int, int]], length_ms: int) -> Samples:
    """Tones at given ms: pairs of (start ms, word number); every tone lasts 300 ms."""
    sound = np.zeros(length_ms * RATE // 1000, dtype=np.float32)
    for start, word in words:
        tone = burst(word)
        at = start * RATE // 1000
        sound[at : at + tone.size] = tone[: sound.size - at]
    return sound


@dataclass
class ToneEngine:
    """Hears each tone as the word ``w<number>``, exactly where it is in the chunk."""

    multilingual: bool = False
    label: str = "tones"
    logprob: float = -0.2
    prob: float = 0.9
    no_speech: float = 0.0
    codes: tuple[tuple[str, float], ...] = (("en", 0.9),)
    fail_at: int = -1
    pad_ms: int = 100
    calls: list[tuple[int, tuple[str, ...], bool]] = field(default_factory=list)
    guesses: int = 0

    def speech(self, sound: Samples) -> tuple[Region, ...]:
        pad = self.pad_ms * RATE // 1000
        regions: list[Region] = []
        for start, end in _tones(sound):
            begin = max(start - pad, regions[-1].end if regions else 0)
            regions.append(Region(begin, min(end + pad, sound.size)))
        return tuple(regions)

    def decode(
        self, chunks: Sequence[Samples], terms: Sequence[str] = (), *, careful: bool = False
    ) -> tuple[Piece, ...]:
        if self.fail_at == len(self.calls):
            raise KeyboardInterrupt
        self.calls.append((len(chunks), tuple(terms), careful))
        return tuple(self._piece(chunk) for chunk in chunks)

    def _piece(self, chunk: Samples) -> Piece:
        words = tuple(
            HeardWord(
                text=f" w{_word(chunk[start:end])}",
                start=start / RATE,
                end=end / RATE,
                prob=self.prob,
            )
            for start, end in _tones(chunk)
        )
        return Piece(words=words, logprob=self.logprob, no_speech=self.no_speech, compression=1.0)

    def language(self, chunk: Samples) -> tuple[str, float]:
        self.guesses += 1
        return self.codes[(self.guesses - 1) % len(self.codes)]


def _tones(sound: Samples) -> list[tuple[int, int]]:
    """Where the tones are, to 10 ms."""
    whole = sound[: sound.size // FRAME * FRAME].reshape(-1, FRAME)
    loud = np.concatenate(([False], np.abs(whole).max(axis=1) > 0.1, [False]))
    edges = np.flatnonzero(loud[1:] != loud[:-1]) * FRAME
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _word(tone: Samples) -> int:
    peak = int(np.abs(np.fft.rfft(tone, n=RATE)).argmax())
    return round((peak - 400) / 50)
