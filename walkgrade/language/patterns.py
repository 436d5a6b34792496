"""Wording patterns: slots that must all be met close together, in any order.

Decides: where a pattern of docs/checklist-format.md stands in an utterance.
Conventions: a pattern is written ``"a|b c+d !e"``: slots by spaces, alternatives by ``|``, words in
sequence by ``+``, ``!`` for words that must be absent nearby, ``=`` for a word in just this form
(others are met by stem). Positions are token indices,
half-open. Words are met through a `WordIndex`, which knows likely mishearings with their weight.
Public: `Pattern`, `compile_pattern`, `PatternBook`, `WordIndex`.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from walkgrade.language.words import norm, stem

_PIECES = re.compile(r"[\s\-/]+")
_SLACK = 5  # tokens a pattern may be stretched by fillers ("the", "is", "all")
_NEAR = 3  # tokens on each side in which a forbidden word spoils the match


@dataclass(frozen=True, slots=True)
class Pattern:
    """A compiled pattern with the label it stands for."""

    label: str
    slots: tuple[tuple[tuple[str, ...], ...], ...]
    forbidden: tuple[tuple[str, ...], ...]
    reach: int


_Spot = tuple[int, int, float]  # first, last, likeness


@dataclass(frozen=True, slots=True)
class Match:
    """A pattern met at tokens [first, last); `score` is the weakest word's likeness."""

    label: str
    first: int
    last: int
    score: float
    head: int  # where the pattern's first slot stands: what its polarity is judged at


class WordIndex:
    """Where each stem stands in one utterance, with weights for likely mishearings.

    Parameters
    ----------
    forms : for each token, the stems it may stand for with their likeness 0..1.
    breaks : for each token, whether punctuation stands before it; no pattern crosses it.
    """

    __slots__ = ("breaks", "forms", "length", "where")

    def __init__(self, forms: Sequence[dict[str, float]], breaks: Sequence[bool] = ()) -> None:
        self.forms = forms
        self.breaks = tuple(breaks) or (False,) * len(forms)
        self.length = len(forms)
        where: dict[str, list[int]] = defaultdict(list)
        for position, choices in enumerate(forms):
            for choice in choices:
                where[choice].append(position)
        self.where = dict(where)

    def sequence(self, words: tuple[str, ...]) -> list[tuple[int, int, float]]:
        """All places where `words` follow each other: (first, last, score)."""
        starts = self.where.get(words[0], ())
        if len(words) == 1:
            return [(start, start + 1, self.forms[start][words[0]]) for start in starts]
        found = []
        for start in starts:
            if start + len(words) > self.length:
                continue
            score = 1.0
            for offset, word in enumerate(words):
                likeness = self.forms[start + offset].get(word)
                if likeness is None:
                    break
                score = min(score, likeness)
            else:
                found.append((start, start + len(words), score))
        return found


def compile_pattern(text: str, label: str) -> Pattern:
    """Compile the written form of a pattern."""
    slots: list[tuple[tuple[str, ...], ...]] = []
    forbidden: list[tuple[str, ...]] = []
    for slot in text.split():
        options = tuple(_words(option) for option in slot.lstrip("!").split("|") if option)
        if slot.startswith("!"):
            forbidden.extend(options)
        else:
            slots.append(options)
    size = sum(max(len(option) for option in slot) for slot in slots)
    reach = size + (_SLACK if len(slots) > 1 else 0)
    return Pattern(label, tuple(slots), tuple(forbidden), reach)


def _words(option: str) -> tuple[str, ...]:
    words: list[str] = []
    for part in option.split("+"):
        if part.startswith("="):
            words.append(f"={norm(part[1:])}")
            continue
        words.extend(stem(norm(piece)) for piece in _PIECES.split(part) if piece)
    return tuple(words)


class PatternBook:
    """Many patterns, looked up by the words of their most telling slot."""

    def __init__(self, patterns: Iterable[Pattern]) -> None:
        self._by_word: dict[str, list[Pattern]] = defaultdict(list)
        for pattern in patterns:
            key = min(pattern.slots, key=len)
            for option in dict.fromkeys(option[0] for option in key):
                self._by_word[option].append(pattern)

    def find(self, words: WordIndex) -> list[Match]:
        """Every match, longest first kept where matches of one label overlap, sorted."""
        candidates: dict[int, Pattern] = {}
        for word in words.where:
            for pattern in self._by_word.get(word, ()):
                candidates[id(pattern)] = pattern
        found: list[Match] = []
        for pattern in candidates.values():
            found.extend(find_pattern(pattern, words))
        return _keep_longest(found)


def find_pattern(pattern: Pattern, words: WordIndex) -> list[Match]:
    """All places where one pattern is met."""
    places = []
    for slot in pattern.slots:
        spots = [
            spot for option in slot if option[0] in words.where for spot in words.sequence(option)
        ]
        if not spots:
            return []
        places.append(spots)
    anchor = min(places, key=len)
    rest = [spots for spots in places if spots is not anchor]
    matches = []
    for spot in anchor:
        taken = _closest(spot, rest, pattern.reach, words)
        if taken is None:
            continue
        first, last = min(s[0] for s in taken), max(s[1] for s in taken)
        if _spoiled(pattern, (first, last), words):
            continue
        head = next(s[0] for s in taken if s in places[0])
        matches.append(Match(pattern.label, first, last, min(s[2] for s in taken), head))
    return matches


def _closest(
    spot: _Spot, rest: list[list[_Spot]], reach: int, words: WordIndex
) -> list[_Spot] | None:
    """Grow from `spot` to the nearest spot of each other slot; None when it reaches too far."""
    first, last, _ = spot
    taken = [spot]
    for spots in rest:
        free = [s for s in spots if all(s[1] <= t[0] or s[0] >= t[1] for t in taken)]
        if not free:
            return None
        near = min(free, key=lambda s: (max(last, s[1]) - min(first, s[0]), s[0]))
        first, last = min(first, near[0]), max(last, near[1])
        taken.append(near)
    if last - first > reach or any(words.breaks[first + 1 : last]):
        return None
    return taken


def _spoiled(pattern: Pattern, span: tuple[int, int], words: WordIndex) -> bool:
    low, high = span[0] - _NEAR, span[1] + _NEAR
    return any(
        low <= spot[0] < high for option in pattern.forbidden for spot in words.sequence(option)
    )


def _keep_longest(found: list[Match]) -> list[Match]:
    """Overlap policy: within one label the longest match, then the better, then the earlier."""
    kept: list[Match] = []
    order = sorted(found, key=lambda m: (m.label, m.first - m.last, -m.score, m.first))
    for match in order:
        clash = any(
            match.label == other.label and match.first < other.last and other.first < match.last
            for other in kept[-6:]
        )
        if not clash:
            kept.append(match)
    return sorted(set(kept), key=lambda m: (m.first, m.last, m.label))
