"""Numbers that were taken back at once: "two thirty-seconds, no, four thirty-seconds".

Decides: what the second number speaks to (`put_right`: what the first did); a number no longer
stands when another was said of the same requirement right after it and words of correction (the cue
`retract`, or a bare "no") lie between them, without a pause. What is put right in a later statement
was said, and stands. Credit has its own rule (`outcome`: the last one counts).
A wrong rule is put right by the rule said rightly, not by a reading (`rule_wrong`).
Public: `standing`, `put_right`, `rule_wrong`.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from fractions import Fraction

from walkgrade.checklists.records import Requirement
from walkgrade.language.records import Token, Utterance, Voice
from walkgrade.matching.records import NumberFinding, NumberVerdict

_NEAR_MS, _NEAR_WORDS, _PAUSE_MS = 5_000, 12, 400


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


def put_right(utterance: Utterance, first: int, last: int) -> bool:
    """True when tokens [first, last) between two numbers take the first one back."""
    between = [first <= at < last for at in range(len(utterance.tokens))]
    return last - first <= _NEAR_WORDS and _retracts(utterance, between)


def rule_wrong(numbers: Sequence[NumberFinding], requirement: Requirement) -> bool:
    """True when the last rule told of this limit was wrong; `numbers` are in order of time."""
    limit = requirement.limit
    for one in reversed(numbers):
        if one.requirement != requirement.id:
            continue
        if one.verdict != NumberVerdict.RIGHT:
            return True
        if limit is None or one.unit != limit.unit:
            return False
        if limit.accept_low <= Fraction(one.value_low) <= limit.accept_high:
            return False
    return False


def _taken_back(one: NumberFinding, other: NumberFinding, utterances: Sequence[Utterance]) -> bool:
    start, end = one.evidence.end, other.evidence.start
    if not 0 <= end - start <= _NEAR_MS:
        return False
    words, retracts = 0, False
    for utterance in utterances:
        if utterance.voice != Voice.TRAINEE or utterance.end < start or utterance.start > end:
            continue
        if utterance.start > start and utterance.gap >= _PAUSE_MS:
            return False
        between = [start <= token.start and token.end <= end for token in utterance.tokens]
        words += sum(between)
        retracts |= _retracts(utterance, between)
    return retracts and words <= _NEAR_WORDS


def _retracts(utterance: Utterance, between: Sequence[bool]) -> bool:
    """True when words of correction stand among the tokens marked in `between`."""
    cue = any(name == "retract" and between[first] for name, first, _ in utterance.cues)
    return cue or any(map(_bare_no, itertools.compress(utterance.tokens, between)))


def _bare_no(word: Token) -> bool:
    """ "No." or "no,", not "no more than"."""
    return word.norm == "no" and not word.text[-1:].isalnum()
