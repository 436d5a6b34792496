"""Comparators around a number: "no less than", "or more", "shouldn't move any more than".

Conventions: comparators are `Comparator` values or "".
Public: `comparator_around`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from walkgrade.checklists.records import Comparator
from walkgrade.language.number_tables import AFTER, BEFORE

_CONNECT = {"a", "an", "of", "the", "that", "is", "about", "like", "roughly"}


def comparator_around(
    norms: Sequence[str], first: int, end: int, halts: Collection[int] = ()
) -> tuple[str, int, int]:
    """The comparator around tokens [first, end), and the span widened to include it.

    `halts`: tokens before which there is punctuation; no negation reaches over it.
    """
    for words, comparator in AFTER:
        if tuple(norms[end : end + len(words)]) == words:
            return comparator, first, end + len(words)
    start = first
    while start > 0 and norms[start - 1] in _CONNECT and first - start < 3:
        start -= 1
    for begin in dict.fromkeys((first, start)):
        for words, comparator in BEFORE:
            if _ends_with(norms, begin, words):
                start = begin - len(words)
                return _turned(comparator, norms, start, halts), start, end
    if "between" in norms[max(0, first - 2) : first]:
        return Comparator.BETWEEN, first - 1, end
    return "", first, end


def _turned(
    comparator: Comparator, norms: Sequence[str], start: int, halts: Collection[int]
) -> Comparator:
    """A negation a few words before turns a comparator: "shouldn't move any more than", but not
    "no slop, less than"."""
    opens = max((at for at in halts if at <= start), default=0)
    before = norms[max(opens, start - 5) : start]
    negated = any(
        w in ("not", "never", "no", "nothing", "cannot", "without") or w.endswith("n't")
        for w in before
    )
    if negated and comparator == Comparator.ABOVE:
        return Comparator.AT_MOST
    if negated and comparator == Comparator.BELOW:
        return Comparator.AT_LEAST
    return comparator


def _ends_with(norms: Sequence[str], end: int, words: tuple[str, ...]) -> bool:
    if end < len(words):
        return False
    for have, want in zip(norms[end - len(words) : end], words, strict=True):
        if (
            have == want
            or (want == "n't" and have.endswith("n't"))
            or (want == "n't" and have == "cannot")
            or (want == "than" and have == "then")
        ):
            continue
        return False
    return True
