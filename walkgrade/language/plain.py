"""What a written line asks for, as the grader would hear it.

Decides: nothing of its own: the line is read like a spoken one, so what it finds is what a trainee
earns who says just that.
Conventions: pure; concepts in order of the words, each once; numbers as in `Quantity`.
Public: `Heard`, `heard_in`.
"""

from __future__ import annotations

from dataclasses import dataclass

from walkgrade.checklists.records import Checklist
from walkgrade.language.read import read
from walkgrade.language.records import Quantity
from walkgrade.speech.records import Segment, Transcript, Word

_WORD_MS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Concept ids and numbers found in a line."""

    concepts: tuple[str, ...] = ()
    numbers: tuple[Quantity, ...] = ()


def heard_in(text: str, checklist: Checklist) -> Heard:
    """Read one written line against the vocabulary of `checklist`."""
    words = tuple(
        Word(text=word, start=n * _WORD_MS, end=(n + 1) * _WORD_MS)
        for n, word in enumerate(text.split())
    )
    if not words:
        return Heard()
    segment = Segment(id="s1", start=0, end=words[-1].end, words=words)
    reading = read(Transcript(id="line", segments=(segment,), duration=segment.end), checklist)
    concepts = [m.concept for u in reading.utterances for m in u.conditions]
    numbers = [m.readings[0] for u in reading.utterances for m in u.numbers if m.readings]
    return Heard(concepts=tuple(dict.fromkeys(concepts)), numbers=tuple(numbers))
