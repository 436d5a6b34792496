"""The numbers of a whole talk: the talk around a number says what it measures.

Decides: the reading in thirty-seconds of a bare number in talk of tread ("five. Five thirty-seconds.
Got to have four").
Conventions: the reading in thirty-seconds comes after the plain one; matching chooses.
Public: `with_measures`, `in_thirty_seconds`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from walkgrade.language.records import NumberMention, Quantity, Utterance

_TREAD = frozenset(("tread", "treads", "groove", "grooves", "depth", "deep", "rubber"))
_NEAR = 3  # utterances on either side in which tread is talked of
_MOST = 20  # thirty-seconds; deeper tread is never cut
_HALVES = (1, 2)  # "two and a half"
_COUNTED = frozenset((
    "of", "tire", "tires", "tyre", "tyres", "wheel", "wheels", "rim", "rims", "side", "sides",
    "edge", "edges", "lug", "lugs", "nut", "nuts", "bolt", "bolts", "step", "steps", "place",
    "places", "month", "months", "year", "years", "times", "entries", "duals",
))  # fmt: skip
"""Words after a number that say it counts things."""
_POINTING = frozenset((
    "the", "these", "those", "this", "that", "all", "both", "each", "every", "other", "any", "no",
    "inside", "outside", "number", "which", "another", "either", "neither", "them", "you",
))  # fmt: skip
"""Words before a number that say it points at things ("these two", "the other one")."""
_SHOWS = frozenset(("says", "say", "reads", "read", "shows", "show", "got", "have", "has", "at"))
"""Words before a "one" that is a number and no pronoun."""


def with_measures(utterances: Sequence[Utterance]) -> tuple[Utterance, ...]:
    """The utterances of one talk, in order, with their numbers read in their surroundings."""
    tread = [_of_tread(u) for u in utterances]
    made = []
    for at, utterance in enumerate(utterances):
        near = any(tread[max(0, at - _NEAR) : at + _NEAR + 1])
        made.append(_with_thirty_seconds(utterance) if near else utterance)
    return tuple(made)


def _with_thirty_seconds(utterance: Utterance) -> Utterance:
    """The utterance with the second reading of every number that may measure tread."""
    norms = [token.norm for token in utterance.tokens]
    numbers = tuple(m if _counts(norms, m) else in_thirty_seconds(m) for m in utterance.numbers)
    return replace(utterance, numbers=numbers)


def _counts(norms: Sequence[str], number: NumberMention) -> bool:
    """True when the words around say that the number counts or points at things."""
    before = norms[number.first - 1] if number.first else ""
    after = norms[number.last] if number.last < len(norms) else ""
    one = norms[number.first : number.last] == ["one"] and before not in _SHOWS
    points = before in _POINTING and not number.readings[0].comparator
    return one or points or after in _COUNTED


def _of_tread(utterance: Utterance) -> bool:
    """True where a number in thirty-seconds or a word for tread stands."""
    measured = any(
        m.readings[0].unit == "in" and m.readings[0].low < 1 and _in_32nds(m.readings[0].low)
        for m in utterance.numbers
    )
    return measured or any(token.norm in _TREAD for token in utterance.tokens)


def _in_32nds(value: Fraction) -> bool:
    return 32 % value.denominator == 0


def in_thirty_seconds(number: NumberMention) -> NumberMention:
    """The number with its reading in thirty-seconds of an inch, where it is bare, small and has none."""
    bare = number.readings[0]
    ends = (bare.low, bare.high)
    small = all(1 <= end <= _MOST and end.denominator in _HALVES for end in ends)
    if bare.unit or not small or any(r.unit == "in" for r in number.readings):
        return number
    part = Quantity(low=bare.low / 32, high=bare.high / 32, unit="in", comparator=bare.comparator)
    return replace(number, readings=(bare, part, *number.readings[1:]))
