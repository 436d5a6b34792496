"""Numbers that were taken back at once: "two thirty-seconds, no, four thirty-seconds".

Decides: a number no longer stands when another was said of the same requirement right after it and
words of correction lie between them, without a pause. What is put right in a later statement was
said, and stands. Credit has its own rule (`outcome`: the last one counts).
Public: `standing`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

from walkgrade.language.records import Token, Utterance, Voice
from walkgrade.matching.records import NumberFinding

_NEAR_MS, _NEAR_WORDS, _PAUSE_MS = 5_000, 12, 400
_CORRECTS = frozenset({"wait", "sorry", "scratch", "correction", "oops", "nope", "rather"})
_PAIRS = frozenset(
    {("i", "mean"), ("i", "meant"), ("make", "that"), ("hold", "on"), ("not", "that")}
)


def standing(
    numbers: Iterable[NumberFinding], utterances: Sequence[Utterance]
) -> tuple[NumberFinding, ...]:
    """The numbers that were not taken back, in order of time."""
    ordered = sorted(numbers, key=lambda n: (n.evidence.start, n.requirement))
    last: dict[str, NumberFinding] = {}
    gone: set[int] = set()
    for number in ordered:
        before = last.get(number.requirement)
        if before is not None and _taken_back(before, number, utterances):
            gone.add(id(before))
        last[number.requirement] = number
    return tuple(number for number in ordered if id(number) not in gone)


def _taken_back(one: NumberFinding, other: NumberFinding, utterances: Sequence[Utterance]) -> bool:
    start, end = one.evidence.end, other.evidence.start
    if not 0 <= end - start <= _NEAR_MS:
        return False
    between: list[Token] = []
    for utterance in utterances:
        if utterance.voice != Voice.TRAINEE or utterance.end < start or utterance.start > end:
            continue
        if utterance.start > start and utterance.gap >= _PAUSE_MS:
            return False
        between += [t for t in utterance.tokens if t.start >= start and t.end <= end]
    return len(between) <= _NEAR_WORDS and _corrects(between)


def _corrects(words: list[Token]) -> bool:
    pairs = itertools.pairwise(word.norm for word in words)
    return (
        any(word.norm in _CORRECTS or _bare_no(word) for word in words)
        or any(pair in _PAIRS for pair in pairs)
        or (bool(words) and words[-1].norm == "no")
    )


def _bare_no(word: Token) -> bool:
    """ "No." or "no,", not "no more than"."""
    return word.norm == "no" and not word.text[-1:].isalnum()
