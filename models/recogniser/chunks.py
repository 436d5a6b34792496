"""Chunks to learn from: stretches of a spoken script as the recogniser gets them, with their words.

Decides: that a chunk is a run of whole lines, pauses cut short, of at most 30 s, told what to
expect as when it is heard, differently, or not at all; some hold only noise, and no word.
Conventions: sound is int16 at 16 kHz; times in ms; tokens are the recogniser's own numbers.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
LONGEST = int(29.6 * RATE)
PAD_MS = 200
MOST_TOKENS = 200
TOLD, TOLD_OTHERS, EMPTY = 0.65, 0.15, 0.02


@dataclass(slots=True, kw_only=True)
class Spoken:
    """A spoken script: the same sound clean and otherwise, and for each line its time and words."""

    sounds: list[NDArray[np.int16]]
    times: Sequence[tuple[int, int]]
    tokens: Sequence[Sequence[int]]
    told: Sequence[Sequence[int]]
    """What may be told before: sentences that name parts, each as tokens."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chunk:
    """Sound, what is told, and the words."""

    sound: NDArray[np.int16]
    told: list[int]
    words: list[int]


def draw(
    spoken: Sequence[Spoken],
    noise: NDArray[np.int16],
    rng: random.Random,
    others: Sequence[Spoken] = (),
) -> Chunk:
    """A chunk from anywhere in `spoken`; `others` lend what is told in their place."""
    run = rng.choice(spoken)
    told = _told(run, others or spoken, rng)
    if rng.random() < EMPTY:
        size = rng.randrange(RATE, LONGEST)
        start = rng.randrange(noise.size - size)
        return Chunk(sound=noise[start : start + size], told=told, words=[])
    sound = rng.choice(run.sounds)
    longest = LONGEST if rng.random() < 0.8 else rng.randrange(3 * RATE, LONGEST)
    while True:
        pieces, words = _lines(run, sound, rng.randrange(len(run.times)), longest)
        if pieces:
            return Chunk(sound=np.concatenate(pieces), told=told, words=words)
        longest = LONGEST
        run = rng.choice(spoken)
        sound = rng.choice(run.sounds)


def _lines(
    run: Spoken, sound: NDArray[np.int16], at: int, longest: int
) -> tuple[list[NDArray[np.int16]], list[int]]:
    pieces: list[NDArray[np.int16]] = []
    words: list[int] = []
    for line in range(at, len(run.times)):
        start, end = run.times[line]
        before = run.times[line - 1][1] if line else 0
        after = run.times[line + 1][0] if line + 1 < len(run.times) else end + PAD_MS
        start = max(start - PAD_MS, (start + before) // 2)
        end = min(end + PAD_MS, (end + after) // 2)
        piece = sound[start * RATE // 1000 : end * RATE // 1000]
        full = sum(p.size for p in pieces) + piece.size > longest
        if full or len(words) + len(run.tokens[line]) > MOST_TOKENS:
            break
        pieces.append(piece)
        words.extend(run.tokens[line])
    return pieces, words


def _told(run: Spoken, others: Sequence[Spoken], rng: random.Random) -> list[int]:
    lot = rng.random()
    run = run if run.told else rng.choice(others)
    if lot < TOLD:
        return [token for sentence in run.told for token in sentence][:222]
    if lot < TOLD + TOLD_OTHERS:
        sentences = [*rng.choice(others).told]
        rng.shuffle(sentences)
        kept = sentences[: rng.randrange(1, len(sentences) + 1)]
        return [token for sentence in kept for token in sentence][:222]
    return []


def batch(
    chunks: Sequence[Chunk], marks: dict[str, Any]
) -> tuple[NDArray[np.int16], NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Sounds (runs, n), their sizes, tokens in (runs, m) and tokens wanted, -100 where none is."""
    rows = []
    for chunk in chunks:
        head = [marks["before"], *chunk.told] if chunk.told else []
        head = [*head, *marks["start"]]
        rows.append((len(head), [*head, *chunk.words, marks["end"]]))
    longest = -(-max(len(row) for _, row in rows) // 32) * 32
    given = np.full((len(rows), longest), marks["end"], dtype=np.int64)
    wanted = np.full((len(rows), longest), -100, dtype=np.int64)
    for at, (head, row) in enumerate(rows):
        given[at, : len(row)] = row
        wanted[at, head - 1 : len(row) - 1] = row[head:]
    sizes = np.array([chunk.sound.size for chunk in chunks], dtype=np.int64)
    sounds = np.zeros((len(chunks), LONGEST + RATE), dtype=np.int16)
    for at, chunk in enumerate(chunks):
        sounds[at, : chunk.sound.size] = chunk.sound
    return sounds, sizes, given, wanted
