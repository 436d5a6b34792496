"""Spoken numbers tied to limits.

Decides: in which order the limits that a number may speak to are asked for
(walkgrade/matching/reaching.py), and whether it is right.
Conventions: see `walkgrade.matching.limits`.
Public: `credit_numbers`.
"""

from __future__ import annotations

from walkgrade.language.records import NumberMention, Utterance
from walkgrade.matching.attach import Group
from walkgrade.matching.corrected import rule_wrong
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.elsewhere import for_mine
from walkgrade.matching.limits import accepted, judge, same_unit, spoken
from walkgrade.matching.moment import Moment
from walkgrade.matching.pressures import at_its_check, told_losses
from walkgrade.matching.reaching import (
    SURE,
    Reach,
    at_its_axle,
    following_on,
    instead_of,
    near_limits,
    read_limits,
)
from walkgrade.matching.records import NumberFinding, NumberVerdict
from walkgrade.matching.shown import shown

_POINTING = frozenset((
    "that", "this", "the", "which", "other", "each", "upper", "lower", "front", "rear", "next",
    "left", "right", "first", "second", "another", "every", "any", "no",
))  # fmt: skip


def credit_numbers(groups: list[Group], moment: Moment) -> tuple[str, ...]:
    """Credit or contradict limits with the numbers of an utterance; returns items touched."""
    utterance, scene = moment.utterance, moment.scene
    touched = []
    taken: set[str] = set()
    before: tuple[NumberMention, list[Reach]] | None = None
    losses = told_losses(moment)
    for mention, number in enumerate(utterance.numbers):
        if number.idle:
            continue
        if mention in losses:
            reaches = losses[mention]
        else:
            reaches = _meant(mention, number, before, groups, taken, moment)
        before = number, reaches
        for reach in reaches:
            _settle(number, reach, moment)
            taken.add(reach.requirement.id)
            touched.append(scene.owner[reach.requirement.id].id)
            for group in groups:
                group.told = group.told or touched[-1] in group.items
    return tuple(dict.fromkeys(touched))


def _meant(
    mention: int,
    number: NumberMention,
    before: tuple[NumberMention, list[Reach]] | None,
    groups: list[Group],
    taken: set[str],
    moment: Moment,
) -> list[Reach]:
    """The limits a number speaks to, by the first way that finds any."""
    utterance = moment.utterance
    reaches = [] if _points(number, utterance) else read_limits(mention, number, moment)
    if not reaches and not _pronoun(number, utterance):
        reaches = near_limits(number, groups, taken, moment)
        if moment.opinions is not None:
            reaches = [r for r in reaches if r.score >= SURE]
    if not reaches:
        reaches = following_on(number, moment)
    if not reaches and before is not None:
        reaches = instead_of(number, before, moment)
    if not reaches and (mine := for_mine(number, moment)) is not None:
        reaches = [Reach(*mine, SURE)]
    placed = (at_its_axle(reach, number, moment) for reach in reaches)
    return at_its_check([reach for reach in placed if reach is not None], moment)


def _pronoun(number: NumberMention, utterance: Utterance) -> bool:
    """ "this one", "the two of them": a small bare number word that measures nothing."""
    reading = number.readings[0]
    bare = number.last - number.first == 1 and reading.unit == "" and not reading.comparator
    word = utterance.tokens[number.first].norm
    return bare and reading.high <= 2 and word.isalpha() and not word.endswith("s")


def _points(number: NumberMention, utterance: Utterance) -> bool:
    """ "That one only dropped", "this is the one": a pronoun."""
    tokens = utterance.tokens
    if not number.first or tokens[number.first].norm != "one" or number.readings[0].unit:
        return False
    alone = number.last - number.first == 1 and not number.readings[0].comparator
    return alone and tokens[number.first - 1].norm in _POINTING


def _settle(number: NumberMention, reach: Reach, moment: Moment) -> None:
    utterance, scene, ledger = moment.utterance, moment.scene, moment.ledger
    requirement = reach.requirement
    limit = requirement.limit
    assert limit is not None
    verdict = judge(reach.quantity, limit)
    beyond = verdict == NumberVerdict.OUT_OF_RANGE
    if beyond and shown(number, reach.quantity, requirement, moment):
        verdict = NumberVerdict.RIGHT
    evidence = evidence_of(utterance, number.first, number.last, min(1.0, reach.score))
    owner = scene.owner[requirement.id]
    finding = NumberFinding(
        item=owner.id,
        requirement=requirement.id,
        said=reach.said or utterance.quote(number.first, number.last),
        value_low=str(reach.quantity.low),
        value_high=str(reach.quantity.high),
        unit=reach.quantity.unit or limit.unit,
        comparator=reach.quantity.comparator,
        verdict=verdict,
        accepted=accepted(limit),
        evidence=evidence,
    )
    mistaken = beyond and verdict == NumberVerdict.RIGHT and rule_wrong(ledger.numbers, requirement)
    if not _said_again(finding, moment):
        ledger.numbers.append(finding)
    if mistaken:
        return  # what this vehicle shows does not put the rule right
    right = verdict == NumberVerdict.RIGHT
    reason = f"Said {spoken(reach.quantity)}; accepted: {accepted(limit)}."
    moment.credit(requirement.id, evidence, reason, against=not right)


def _said_again(finding: NumberFinding, moment: Moment) -> bool:
    """True when the same was found in this utterance or in the one before: "sixty. Sixty."."""
    near = moment.nearby
    return any(
        one.evidence.utterance in near
        and (one.requirement, one.value_low, one.value_high, one.verdict)
        == (finding.requirement, finding.value_low, finding.value_high, finding.verdict)
        and same_unit(one.unit, finding.unit)
        for one in moment.ledger.numbers
    )
