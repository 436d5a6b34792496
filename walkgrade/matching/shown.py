"""What a number tells: what this vehicle shows, or the rule.

Decides: whether a number beyond a limit is a reading on its safe side ("mine is nine
thirty-seconds") and not the rule remembered wrongly ("must be nine").
Conventions: see `walkgrade.matching.limits`.
Public: `shown`.
"""

from __future__ import annotations

import itertools
from fractions import Fraction

from walkgrade.checklists.records import Limit, Requirement
from walkgrade.language.measures import in_thirty_seconds
from walkgrade.language.records import NumberMention, Quantity, Token, Utterance
from walkgrade.language.words import stem
from walkgrade.matching.limits import safe_reading
from walkgrade.matching.moment import Moment
from walkgrade.matching.records import NumberVerdict

_TREAD = "tread"  # what a limit in thirty-seconds measures
_RULE = frozenset(map(stem, (
    "must", "need", "should", "supposed", "require", "minimum", "maximum", "least", "most",
    "limit", "law", "legal", "allowed", "rule", "gotta",
)))  # fmt: skip
"""Words that make a number a rule, not a reading; so does "has to" (`_rule_in`)."""
_HAS = frozenset(("has", "have", "had", "got"))
_JOINS = frozenset(("and", "but", "where", "while", "whereas", "though", "because", "so"))
"""Words at which another clause begins."""
_SHOWN = frozenset(map(stem, (
    "got", "mine", "reads", "measures", "shows", "showing", "outer", "inner", "outside", "inside",
    "both", "each",
)))  # fmt: skip
"""Words that make a number a reading, even where another limit names the same value."""
_BEFORE, _AFTER = 5, 3  # tokens around a number where they stand
_STOPS = tuple(",.;:!?")
_FILLERS = frozenset(("um", "uh", "er", "erm", "ah", "eh"))


def shown(
    number: NumberMention, quantity: Quantity, requirement: Requirement, moment: Moment
) -> bool:
    """True when the number tells what this vehicle shows, safely beyond the limit.

    What another limit names counts only where the words show it or this limit was just told right.
    """
    limit = requirement.limit
    assert limit is not None
    clause = _clause(number, moment.utterance)
    around = {token.stem for token in clause}
    told = _rule_follows(number, limit, moment) or any(
        one.requirement == requirement.id
        and one.verdict == NumberVerdict.RIGHT
        and one.evidence.utterance in moment.nearby
        for one in moment.ledger.numbers
    )
    norms = moment.scene.norms(limit.quantity)
    named: frozenset[Fraction] = frozenset() if told or around & _SHOWN else norms
    return not _rule_in(clause) and safe_reading(quantity, limit, named)


def _rule_follows(number: NumberMention, limit: Limit, moment: Moment) -> bool:
    """True when the limit's own value is said soon after: "mine is four, and two's the law"."""
    mine = [other for other in moment.utterance.numbers if other.first >= number.last]
    tread = _TREAD in limit.quantity
    return any(
        r.unit == limit.unit and limit.accept_low <= r.low == r.high <= limit.accept_high
        for other in (*mine, *moment.coming[:1])
        for r in (in_thirty_seconds(other) if tread else other).readings
    )


def _rule_in(clause: list[Token]) -> bool:
    """True when the words make a number a rule: "must", "law", "has to"."""
    pairs = itertools.pairwise(token.norm for token in clause)
    return any(token.stem in _RULE for token in clause) or any(
        first in _HAS and second == "to" for first, second in pairs
    )


def _clause(number: NumberMention, utterance: Utterance) -> list[Token]:
    """The tokens around a number, as far as the next comma, stop or joining word on either side."""
    tokens, first, last = utterance.tokens, number.first, number.last
    lowest, highest = max(0, first - _BEFORE), min(len(tokens), last + _AFTER)
    while first > lowest and (not _ends(tokens[first - 1]) or tokens[first - 1].norm in _FILLERS):
        first -= 1
    while last < highest and tokens[last - 1].text[-1:] not in _STOPS and not _ends(tokens[last]):
        last += 1
    return list(tokens[first:last])


def _ends(token: Token) -> bool:
    return token.text[-1:] in _STOPS or token.norm in _JOINS
