"""Pressures off the gauge: which of two checks one speaks to, and a loss told by two of them.

Decides: a pressure where the governor cuts out speaks to the cut-out where the air brakes are
checked and to the gauge's reading where the gauges are read, never to both; "it was at one-twenty,
now it's one-eighteen" tells a loss of two.
Conventions: pressures in psi; token positions of one utterance, ends exclusive.
Public: `at_its_check`, `told_losses`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from walkgrade.checklists.records import Comparator, Requirement
from walkgrade.language.records import NumberMention, Quantity, Token
from walkgrade.matching.credits import Pressure
from walkgrade.matching.moment import Moment
from walkgrade.matching.reaching import SURE, Reach

_GAUGE, _CUT_OUT, _LOSS = "air pressure", "governor cut-out", "applied air loss"
"""Quantities of the checklists' limits."""
_LEAST, _MOST = 80, 150  # what the gauge shows while a loss is watched
_DROP = 9  # more is no leak but pumping down
_AROUND, _NEXT = 4, 2  # tokens around a number, and right behind it, that say when it was read
_STARTED = frozenset((
    "was", "were", "started", "start", "starting", "had", "having", "seen", "settled", "from",
    "i'm", "it's", "she's", "sitting",
))  # fmt: skip
_CERTAIN = frozenset(("was", "started", "starting", "had", "having", "settled"))
_AT_FIRST = frozenset(("start", "beginning", "first"))  # "one twenty-four at the start"
_SINCE = frozenset((
    "now", "later", "i'm", "it's", "she's", "i", "got", "to", "down", "after",
    "finish", "finished", "end", "ended",
))  # fmt: skip
_AIR_UNITS = ("", "psi", "lb")
_LATELY = 6  # utterances; a gauge told longer ago was read then
_THERE = 0.3  # how surely the trainee is at the brake check


def at_its_check(reaches: Sequence[Reach], moment: Moment) -> list[Reach]:
    """The reaches, with one of gauge and cut-out left, the one where the trainee is."""
    kinds = {_quantity(reach.requirement) for reach in reaches}
    if _CUT_OUT not in kinds:
        return list(reaches)
    gauge, cut_out = _of(_GAUGE, moment), _of(_CUT_OUT, moment)
    if gauge is None or cut_out is None:
        return list(reaches)
    at_gauges = _chance(gauge, moment) > _chance(cut_out, moment) and not _told(gauge, moment)
    unwanted = cut_out if at_gauges else gauge
    kept = [reach for reach in reaches if reach.requirement.id != unwanted.id]
    if at_gauges and _GAUGE not in kinds:
        moved = next(reach for reach in reaches if reach.requirement.id == unwanted.id)
        kept.append(replace(moved, requirement=gauge))
    return kept


def told_losses(moment: Moment) -> dict[int, list[Reach]]:
    """What the utterance's pressures tell of a loss: mention -> its reach, empty for the pressure
    that the loss is counted from. The last one is kept in the ledger for the next utterance."""
    loss, ledger, utterance = _of(_LOSS, moment), moment.ledger, moment.utterance
    if loss is None or _chance(loss, moment) < _THERE:
        return {}
    told: dict[int, list[Reach]] = {}
    start = ledger.pressure
    if start is not None and start.utterance not in moment.nearby:
        start = None
    first: int | None = None  # the mention that `start` was read in, if it is in this utterance
    for mention, number in enumerate(utterance.numbers):
        now, before = _plain(number), _words_before(number, utterance.tokens)
        at_first = _AT_FIRST & _words_after(number, utterance.tokens, _AROUND)
        drop = _drop(number, now, start, before, utterance.tokens)
        if 0 < drop <= _DROP:
            quantity = Quantity(low=drop, high=drop, unit="psi", comparator="")
            said = utterance.quote(number.first, number.last)
            both = f"{start.said} ... {said}" if start is not None and now is not None else said
            told[mention] = [Reach(loss, quantity, SURE, both)]
            if first is not None:
                told[first] = []
            start = None
        elif now is None:
            continue
        elif start is not None and drop < 0 and _begun(loss, moment):
            told[mention] = []  # it rose, or it was misread: no loss, and no cut-out either
        elif _STARTED & before or at_first:
            start = Pressure(now, utterance.id, utterance.quote(number.first, number.last))
            first = mention
            if (_CERTAIN & before or at_first) and _begun(loss, moment):
                told[mention] = []
    ledger.pressure = start
    return told


def _drop(
    number: NumberMention,
    now: Fraction | None,
    start: Pressure | None,
    before: frozenset[str],
    tokens: Sequence[Token],
) -> Fraction:
    """How far the air fell to this pressure: from `start`, or by itself ("from 126 to 124")."""
    if now is not None and start is not None:
        after = _words_after(number, tokens, _NEXT)
        alone = number.first == 0 and number.last == len(tokens)  # "One eighteen."
        return start.value - now if alone or _SINCE & (before | after) else Fraction(0)
    reading = number.readings[0]
    fits = "from" in before and reading.unit in _AIR_UNITS and reading.low >= _LEAST
    return reading.high - reading.low if fits else Fraction(0)


def _begun(loss: Requirement, moment: Moment) -> bool:
    """True when something of the leak check was told before this pressure."""
    item = moment.scene.owner[loss.id]
    return any(moment.ledger.entries.get(one.id) for one in item.requirements)


def _plain(number: NumberMention) -> Fraction | None:
    reading = number.readings[0]
    plain = reading.low == reading.high and reading.comparator in ("", Comparator.ABOUT)
    fits = reading.unit in _AIR_UNITS and _LEAST <= reading.low <= _MOST
    return reading.low if plain and fits else None


def _words_before(number: NumberMention, tokens: Sequence[Token]) -> frozenset[str]:
    return frozenset(t.norm for t in tokens[max(0, number.first - _AROUND) : number.first])


def _words_after(number: NumberMention, tokens: Sequence[Token], count: int) -> frozenset[str]:
    return frozenset(t.norm for t in tokens[number.last : number.last + count])


def _quantity(requirement: Requirement) -> str:
    return requirement.limit.quantity if requirement.limit is not None else ""


def _of(quantity: str, moment: Moment) -> Requirement | None:
    """The checklist's limit of this quantity."""
    scene = moment.scene
    limits = (one for item in scene.checklist.items for one in scene.limits(item.id))
    return next((one for one in limits if _quantity(one) == quantity), None)


def _told(requirement: Requirement, moment: Moment) -> bool:
    """True when the requirement was given a number before, and not just now."""
    before = (one for one in moment.ledger.numbers if one.requirement == requirement.id)
    return any(int(one.evidence.utterance[1:]) <= moment.at + 1 - _LATELY for one in before)


def _chance(requirement: Requirement, moment: Moment) -> float:
    return moment.chance(moment.scene.owner[requirement.id].id)
