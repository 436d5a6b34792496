"""Comparators around a number: "no less than", "or more", "shouldn't move any more than".

Conventions: comparators are `Comparator` values or "".
Public: `comparator_around`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from walkgrade.checklists.records import Comparator
from walkgrade.language.number_tables import AFTER, BEFORE

_REFUSED = frozenset(
    ["forbidden", "illegal", "fail", "fails", "failed", "failure", "failing", "flunk", "flunks"]
)
_REFUSED_IN_TWO = frozenset((("too", "much"), ("too", "many"), ("too", "loose"), ("too", "low"),
                             ("of", "service")))  # fmt: skip
_NOT_GOOD = frozenset((("not", "allowed"), ("no", "good"), ("not", "good")))
_NEGATIONS = frozenset(["not", "never", "no", "nothing", "cannot", "without", "neither", "nor"])
_NAMES = (("minimum",), ("maximum",), ("max",))
"""Comparators that are also the names of what follows."""
_OTHER_WAY = {Comparator.ABOVE: Comparator.AT_MOST, Comparator.BELOW: Comparator.AT_LEAST}
_CONNECT = {"a", "an", "of", "the", "that", "is", "about", "like", "roughly"}


def comparator_around(
    norms: Sequence[str], first: int, end: int, halts: Collection[int] = ()
) -> tuple[str, int, int]:
    """The comparator around tokens [first, end), and the span widened to include it.

    `halts`: tokens before which there is punctuation; no negation reaches over it.
    """
    for words, comparator in AFTER:
        last = end + len(words)
        if tuple(norms[end:last]) == words and not _opens_another(norms, end, last, halts):
            return comparator, first, last
    start = first
    while start > 0 and norms[start - 1] in _CONNECT and first - start < 3:
        start -= 1
    for begin in dict.fromkeys((first, start)):
        for words, comparator in BEFORE:
            if _ends_with(norms, begin, words):
                start = begin - len(words)
                turned = _turned(comparator, norms, start, halts)
                if turned == comparator and _refused(norms, end, halts):
                    turned = _OTHER_WAY.get(comparator, comparator)
                return turned, start, end
    if "between" in norms[max(0, first - 2) : first]:
        return Comparator.BETWEEN, first - 1, end
    return "", first, end


def _opens_another(norms: Sequence[str], end: int, last: int, halts: Collection[int]) -> bool:
    """True when a comparator behind a number goes with what follows: "five, minimum is four",
    "two, and up to three"."""
    words = tuple(norms[end:last])
    if words == ("and", "up"):
        return tuple(norms[last : last + 1]) == ("to",)
    clause_ends = last == len(norms) or last in halts
    return end in halts and not clause_ends and words in _NAMES


def _turned(
    comparator: Comparator, norms: Sequence[str], start: int, halts: Collection[int]
) -> Comparator:
    """A negation a few words before turns a comparator: "shouldn't move any more than", but not
    "no slop, less than"."""
    opens = max((at for at in halts if at <= start), default=0)
    before = norms[max(opens, start - 5) : start]
    if "able" in before:  # "should not be able to pull that rod more than"
        before = norms[max(opens, start - 9) : start]
    negated = any(_negates(word) for word in before)
    return _OTHER_WAY.get(comparator, comparator) if negated else comparator


def _refused(norms: Sequence[str], end: int, halts: Collection[int]) -> bool:
    """True when what follows in the clause refuses it: "more than three is forbidden"."""
    last = min((at for at in halts if at >= end), default=len(norms))
    after = norms[end : min(last, end + 7)]
    pairs = tuple(zip(after, after[1:], strict=False))
    if any(pair in _NOT_GOOD for pair in pairs):
        return True
    if any(_negates(word) for word in after):
        return False  # "less than an inch is not too much"
    return any(word in _REFUSED for word in after) or any(p in _REFUSED_IN_TWO for p in pairs)


def _negates(word: str) -> bool:
    return word in _NEGATIONS or word.endswith("n't")


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
