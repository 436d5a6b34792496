"""Keeping invented words out of a transcript.

Decides: when a chunk is tried again, when it is dropped, and how a loop of repeated words is cut.
Conventions: thresholds follow the defaults of the Whisper reference decoder (compression 2.4, mean
log probability -1.0, no speech 0.6); the loop rule is common practice, no source. Pure.
Public: `suspicious`, `sparse`, `better`, `nothing_heard`, `cut_loops`, `join_pieces`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from walkgrade.speech.engine import HeardWord, Piece

MOST_COMPRESSION = 2.4
LEAST_LOGPROB = -1.0
MOST_NO_SPEECH = 0.6
LEAST_WORDS = 1.2  # in a second of speech; talk has two to four
LOOP_TIMES = 5
LOOP_WORDS = 8


def suspicious(piece: Piece) -> bool:
    """True when the chunk should be decoded once more, carefully."""
    if not piece.words or nothing_heard(piece):
        return False
    return piece.compression > MOST_COMPRESSION or piece.logprob < LEAST_LOGPROB


def sparse(piece: Piece, seconds: float) -> bool:
    """True when far fewer words were written than so much speech holds: told to expect words, an
    engine sometimes leaves out what stands between them."""
    return len(join_pieces(piece.words)) < LEAST_WORDS * seconds


def better(first: Piece, second: Piece) -> Piece:
    """The more believable of two tries: the one without a loop, then the more probable one."""
    loops = first.compression > MOST_COMPRESSION, second.compression > MOST_COMPRESSION
    if loops[0] != loops[1]:
        return second if loops[0] else first
    return second if second.logprob > first.logprob else first


def nothing_heard(piece: Piece) -> bool:
    """True when the engine thinks nobody spoke and is unsure of every word it wrote."""
    return piece.no_speech > MOST_NO_SPEECH and piece.logprob < LEAST_LOGPROB


def join_pieces(words: Sequence[HeardWord]) -> tuple[HeardWord, ...]:
    """Whole words: a piece without a leading space belongs to the word before it.

    "4", "/32" becomes "4/32"; its probability is that of its weakest part.
    """
    joined: list[HeardWord] = []
    for word in words:
        if joined and not word.text.startswith(" "):
            last = joined[-1]
            joined[-1] = HeardWord(
                text=last.text + word.text,
                start=last.start,
                end=max(last.end, word.end),
                prob=min(last.prob, word.prob),
            )
        else:
            joined.append(word)
    return tuple(replace(word, text=text) for word in joined if (text := word.text.strip()))


def cut_loops(words: Sequence[HeardWord]) -> tuple[HeardWord, ...]:
    """Keep one of a phrase (1 to 8 words) that follows itself five times or more."""
    plain = [word.text.casefold().strip(".,!?;:") for word in words]
    kept: list[HeardWord] = []
    at = 0
    while at < len(words):
        size, times = _loop_at(plain, at)
        kept.extend(words[at : at + size])
        at += size * times
    return tuple(kept)


def _loop_at(plain: Sequence[str], at: int) -> tuple[int, int]:
    """Length of the phrase that loops from `at` and how often it stands there, else (1, 1)."""
    for size in range(1, LOOP_WORDS + 1):
        phrase = plain[at : at + size]
        times = 1
        while plain[at + times * size : at + (times + 1) * size] == phrase:
            times += 1
        if times >= LOOP_TIMES:
            return size, times
    return 1, 1
