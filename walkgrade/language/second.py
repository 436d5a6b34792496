"""The second opinion: what the clause reader adds to, or takes from, the lexicon's findings.

Decides: which conditions only the reader heard count, and which of the lexicon's it overrules.
Conventions: works on whole utterances; an added condition spans the chunk it was heard in.
Thresholds were chosen on the tune part.
Public: `Thresholds`, `consult`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from walkgrade.language.clauses import ClauseReader
from walkgrade.language.records import (
    ConditionMention,
    PatternMention,
    Polarity,
    Utterance,
    Voice,
)

_LONGEST = 16  # tokens of one clause put to the reader
_IDLE_CUES = ("other-vehicle", "unchecked")


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """`add`: least probability for a condition the lexicon did not hear; `veto`: below it the
    lexicon's assertion is idle; `step`: as `add`, for wordings of steps."""

    add: float = 0.7
    veto: float = 0.02
    step: float = 0.9


@dataclass(frozen=True, slots=True)
class _Span:
    utterance: int
    first: int
    last: int


def consult(
    utterances: Sequence[Utterance], reader: ClauseReader, at: Thresholds | None = None
) -> tuple[Utterance, ...]:
    """Utterances with the reader's opinion taken into their conditions."""
    spans = [
        span
        for number, utterance in enumerate(utterances)
        if utterance.voice == Voice.TRAINEE
        for span in _spans(number, utterance)
    ]
    if not spans:
        return tuple(utterances)
    texts = [
        " ".join(t.norm for t in utterances[s.utterance].tokens[s.first : s.last]) for s in spans
    ]
    distinct = list(dict.fromkeys(texts))
    row = {text: index for index, text in enumerate(distinct)}
    sound, _ = reader.score(distinct)
    made = list(utterances)
    for number in dict.fromkeys(span.utterance for span in spans):
        mine = [
            (s, row[text]) for s, text in zip(spans, texts, strict=True) if s.utterance == number
        ]
        made[number] = _settled(utterances[number], mine, sound, reader, at or Thresholds())
    return tuple(made)


def _spans(number: int, utterance: Utterance) -> list[_Span]:
    """The chunks between punctuation, and runs of chunks up to the longest clause."""
    starts = [0, *(i for i, t in enumerate(utterance.tokens) if i and t.breaks)]
    chunks = list(zip(starts, [*starts[1:], len(utterance.tokens)], strict=True))
    spans = {(first, last) for first, last in chunks if last - first >= 2}
    at = 0
    while at < len(chunks):
        end = at
        while end + 1 < len(chunks) and chunks[end + 1][1] - chunks[at][0] <= _LONGEST:
            end += 1
        spans.add((chunks[at][0], chunks[end][1]))
        at = end + 1
    return [_Span(number, first, last) for first, last in sorted(spans)]


def _settled(
    utterance: Utterance,
    spans: list[tuple[_Span, int]],
    sound: NDArray[np.float32],
    reader: ClauseReader,
    at: Thresholds,
) -> Utterance:
    where = {concept: index for index, concept in enumerate(reader.concepts)}
    kept = [_judged(c, spans, sound, where, at) for c in utterance.conditions]
    question = utterance.text.rstrip().endswith("?")
    idle = question or any(name in _IDLE_CUES for name, _, _ in utterance.cues)
    added = [] if idle else _added(kept, spans, sound, reader, at)
    return replace(
        utterance,
        patterns=utterance.patterns if idle else _with_steps(utterance, spans, sound, reader, at),
        conditions=tuple(sorted([*kept, *added], key=lambda c: (c.first, c.last, c.concept))),
    )


def _with_steps(
    utterance: Utterance,
    spans: list[tuple[_Span, int]],
    sound: NDArray[np.float32],
    reader: ClauseReader,
    at: Thresholds,
) -> tuple[PatternMention, ...]:
    """The wordings met, and the steps only the reader heard (its outputs named by requirement)."""
    met = {pattern.requirement for pattern in utterance.patterns}
    best: dict[str, PatternMention] = {}
    for span, row in spans:
        for column in np.flatnonzero(sound[row] >= at.step):
            name = reader.concepts[int(column)]
            if "." not in name or name in met:
                continue
            old = best.get(name)
            if old is None or span.last - span.first < old.last - old.first:
                score = round(0.9 * float(sound[row, column]), 3)
                best[name] = PatternMention(
                    first=span.first, last=span.last, requirement=name, score=score, opinion=True
                )
    return tuple(
        sorted(
            [*utterance.patterns, *best.values()], key=lambda p: (p.first, p.last, p.requirement)
        )
    )


def _judged(
    condition: ConditionMention,
    spans: list[tuple[_Span, int]],
    sound: NDArray[np.float32],
    where: dict[str, int],
    at: Thresholds,
) -> ConditionMention:
    """The lexicon's condition, idle where the reader is sure that nothing is asserted."""
    column = where.get(condition.concept)
    rows = [r for s, r in spans if s.first < condition.last and condition.first < s.last]
    asserted = condition.polarity in (Polarity.SOUND, Polarity.LISTED)
    if column is None or not rows or not asserted:
        return condition
    if float(sound[rows, column].max()) < at.veto:
        return replace(condition, polarity=Polarity.IDLE)
    return condition


def _added(
    kept: list[ConditionMention], spans: list[tuple[_Span, int]], sound: NDArray[np.float32],
    reader: ClauseReader, at: Thresholds,
) -> list[ConditionMention]:  # fmt: skip
    """Conditions only the reader heard, in the smallest chunk that carries them."""
    best: dict[str, tuple[float, _Span]] = {}
    for span, row in spans:
        for column in np.flatnonzero(sound[row] >= at.add):
            concept = reader.concepts[int(column)]
            if "." in concept:
                continue
            score = float(sound[row, column])
            if any(
                c.concept == concept and c.first < span.last and span.first < c.last for c in kept
            ):
                continue
            old = best.get(concept)
            if old is None or (span.last - span.first) < (old[1].last - old[1].first):
                best[concept] = (score, span)
    return [
        ConditionMention(
            first=span.first, last=span.last, concept=concept, polarity=Polarity.SOUND,
            score=round(0.9 * score, 3),
        )
        for concept, (score, span) in sorted(best.items())
    ]  # fmt: skip
