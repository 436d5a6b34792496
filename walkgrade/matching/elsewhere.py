"""Numbers that the words send to another place, or back to what was told wrong just before.

Decides: that "four in front, and two at the rear" tells the front tread nothing of two; that after
a wrong limit "four is for combinations, for me it's three" puts that limit right.
Conventions: token positions of one utterance, ends exclusive.
Public: `sent_away`, `for_mine`.
"""

from __future__ import annotations

from walkgrade.checklists.records import Requirement
from walkgrade.language.records import NumberMention, Quantity, Utterance
from walkgrade.language.untold import comes_back
from walkgrade.matching.limits import judge
from walkgrade.matching.moment import Moment
from walkgrade.matching.records import NumberVerdict

_BACK = frozenset((
    "rear", "rears", "back", "behind", "others", "drives", "duals",
    "remaining", "rest",
))  # fmt: skip
_FRONT = frozenset(("front", "steer", "steers"))
_OTHER = ("ones", "four", "tires", "tyres", "wheels")  # "the other four"
_AFTER, _BEFORE = 5, 3  # tokens around a number that say where it holds
_LATELY = 4  # numbers told last


def sent_away(number: NumberMention, utterance: Utterance, place: str) -> bool:
    """True when the words around a number say that it holds at the other end of the vehicle."""
    ends = place.split("-")
    other = _BACK if _FRONT & set(ends) else _FRONT if _BACK & set(ends) else frozenset()
    if not other:
        return False
    mine = _BACK | _FRONT
    said = _where(number, utterance) & mine
    return bool(said) and said <= other


def _where(number: NumberMention, utterance: Utterance) -> frozenset[str]:
    """Words that say where, in the number's own clause."""
    tokens = utterance.tokens
    starts = [one.first for one in utterance.numbers if one.first >= number.last]
    end = min([len(tokens), number.last + _AFTER, *starts])
    after = []
    for at in range(number.last, end):
        if tokens[at].breaks:
            break
        after.append(tokens[at].norm)
    if "other" in after[:-1] and after[after.index("other") + 1] in _OTHER:
        after.append("others")
    if set(after) & (_BACK | _FRONT):
        return frozenset(after)
    lasts = [one.last for one in utterance.numbers if one.last <= number.first]
    start = max([0, number.first - _BEFORE, *lasts])
    before = []
    for at in range(number.first - 1, start - 1, -1):
        before.append(tokens[at].norm)
        if tokens[at].breaks:
            break
    return frozenset(before)


def for_mine(number: NumberMention, moment: Moment) -> tuple[Requirement, Quantity] | None:
    """The limit told wrongly lately that this number puts right for one's own kind of vehicle, and
    how the number is meant then."""
    lately = [
        told for told in moment.ledger.numbers[-_LATELY:] if told.verdict != NumberVerdict.RIGHT
    ]
    if not lately:
        return None
    requirement = moment.scene.requirement[lately[-1].requirement]
    limit = requirement.limit
    assert limit is not None
    near = comes_back(number, moment.utterance.tokens)
    right = [one for one in number.readings if judge(one, limit) == NumberVerdict.RIGHT]
    return (requirement, right[0]) if near and right else None
