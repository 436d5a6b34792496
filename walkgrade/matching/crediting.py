"""Crediting what conditions were linked to, with the reasons.

Decides: which requirements of a linked part a condition earns, how sure that is, what naming alone
tells, and what one part takes over from another in the same breath.
Conventions: weights 0..1 multiply.
Public: `credit_links`, `credit_presence`, `credit_opinions`, `echoes`.
"""

from __future__ import annotations

from dataclasses import replace

from walkgrade.language.records import Drive, Polarity
from walkgrade.matching.attach import Group, Link
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.drives import clashing, hold_to_vehicle
from walkgrade.matching.moment import Moment
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.records import Remark, RemarkKind
from walkgrade.matching.scene import Scene

_WELL, _ILL = 0.9, 0.01  # run reader: told, and against, for a fault not to be remarked
_HEDGED = 0.8
_GUESSED = 0.45  # two hedges in one breath: a guess
_LISTED = 0.85
_PRESENT = 0.7
_OPINION = 0.3  # from here on an opinion is entered
_DOUBTFUL = frozenset(
    [
        "supposed",
        "don't",
        "should",
        "where",
        "missing",
        "didn't",
        "can't",
        "need",
        "needs",
        "if",
        "would",
        "not",
    ]
)


def credit_links(links: list[Link], moment: Moment) -> bool:
    """Credit all links; what the linked parts do not ask for may tell its part by itself.

    Words that told one condition of a part do not spill over to a sub-part's condition.
    """
    plain = _told_plainly(links, moment.scene)
    hold_to_vehicle(links, [_stated(one, moment) for one in links], moment)
    told = False
    for one in links:
        span = range(one.condition.first, one.condition.last)
        for item in _hearers(one, moment.scene):
            for requirement, fit in moment.scene.hears(item, one.condition.concept, one.about):
                if fit == 1.0 or not any((item, at) in plain for at in span):
                    told |= _credit(one, item, requirement.id, fit, moment)
    taken = {at for _, at in plain}
    for one in links:
        if one.items and not one.pronoun:
            continue  # a part was named with it, which does not ask for it
        free = not taken & set(range(one.condition.first, one.condition.last))
        if free and one.condition.polarity == Polarity.SOUND and not _hearers(one, moment.scene):
            told |= _credit_rare(one, moment)
    return told


def _told_plainly(links: list[Link], scene: Scene) -> set[tuple[str, int]]:
    """(item, token) pairs at which a condition met a requirement of that very item."""
    return {
        (item, at)
        for one in links
        for item in _hearers(one, scene)
        for _, fit in scene.hears(item, one.condition.concept, one.about)
        if fit == 1.0
        for at in range(one.condition.first, one.condition.last)
    }


def _credit_rare(one: Link, moment: Moment) -> bool:
    items, likely = moment.scene.rare(one.condition.concept, moment.walk.chance[moment.at])
    told = False
    for item in items:
        for requirement, fit in moment.scene.hears(item, one.condition.concept, one.about):
            told |= _credit(one, item, requirement.id, fit * likely, moment)
    return told


def _hearers(one: Link, scene: Scene) -> list[str]:
    """The linked items that ask for the condition: those that require it before those that may
    be told it, the parts named before those that share their name. A belt is said of the part
    named alone: that its namesake has none is no slip."""
    concept, about = one.condition.concept, one.about
    kin = () if one.condition.drive is Drive.BELT else one.kin
    for needed in (True, False):
        for items in (one.items, kin):
            heard = [
                item
                for item in items
                if any(r.required or not needed for r, _ in scene.hears(item, concept, about))
            ]
            if heard:
                return heard
    return []


def _credit(one: Link, item: str, requirement: str, fit: float, moment: Moment) -> bool:
    """Credit (or hold against) one requirement with a linked condition."""
    condition = one.condition
    if condition.polarity == Polarity.IDLE:
        return False
    if condition.drive is Drive.BELT and not clashing(one, item, moment):
        return False
    weight = _stated(one, moment) * fit
    against = condition.polarity == Polarity.DEFECT
    clash = against and condition.drive is not None
    evidence = evidence_of(moment.utterance, condition.first, condition.last, weight)
    title = moment.scene.items[item].title
    reason = f"'{evidence.quote}' was said of {title}."
    if one.pronoun:
        reason = f"'{evidence.quote}' refers to {title}, named before."
    moment.credit(requirement, evidence, reason, against=against, clash=clash)
    if against and not clash and not _well_spoken_of(item, moment):
        note = f"A fault was stated of {title}. On a real vehicle: report it, do not drive."
        moment.ledger.remarks.append(
            Remark(kind=RemarkKind.DEFECT, note=note, evidence=evidence, items=(item,))
        )
    return True


def _well_spoken_of(item: str, moment: Moment) -> bool:
    """True when the run reader hears something of the item told rightly here and nothing against
    it: "no damage" may look like a stated fault to the rules."""
    if moment.opinions is None:
        return False
    names = {requirement.id for requirement in moment.scene.items[item].requirements}
    heard = [one for one in moment.opinions.at(moment.at) if names & set(one.targets)]
    well = max((one.told for one in heard), default=0.0) >= _WELL
    return well and max(one.against for one in heard) <= _ILL


def _stated(one: Link, moment: Moment) -> float:
    """How surely a condition was stated of its part (0..1)."""
    condition = one.condition
    doubts = sum(name == "hedge" for name, _, _ in moment.utterance.cues)
    weight = condition.score * (one.sure if one.items else 1.0)
    weight *= (1.0, _HEDGED, _GUESSED)[min(doubts, 2)]
    return weight * (_LISTED if condition.polarity == Polarity.LISTED else 1.0)


def credit_presence(groups: list[Group], moment: Moment) -> bool:
    """Equipment that is only asked to be there is told by naming it, unless it is in doubt."""
    utterance = moment.utterance
    if _DOUBTFUL & {token.norm for token in utterance.tokens} or utterance.has("hedge"):
        return False
    told = False
    for group in groups:
        for item in group.items:
            for requirement in moment.scene.items[item].requirements:
                if requirement.concepts[:1] != ("present",) or not requirement.required:
                    continue
                evidence = evidence_of(utterance, group.first, group.last, _PRESENT * group.sure)
                moment.credit(
                    requirement.id, evidence, f"'{evidence.quote}' was named as being on board."
                )
                told = True
    return told


def echoes(links: list[Link], groups: list[Group], moment: Moment) -> list[Link]:
    """ "... and so do the reds": a part that takes over all that was said of the one before it."""
    added = []
    for before, group in zip(groups, groups[1:], strict=False):
        lead = [t.norm for t in moment.utterance.tokens[max(0, group.first - 3) : group.first]]
        if "so" not in lead or not {"do", "does", "is", "are", "did"} & set(lead):
            continue
        group.told = True
        for one in links:
            if one.items == before.items and one.condition.first < group.first:
                added.append(replace(one, items=group.items, kin=group.kin))
    return added


def credit_opinions(moment: Moment, opinions: Opinions) -> None:
    """Enter what the run reader makes of the utterance: answers, and parts named."""
    scene, utterance = moment.scene, moment.utterance
    last = len(utterance.tokens)
    for one in opinions.at(moment.at):
        if one.told < _OPINION:
            continue
        for target in one.targets:
            if target not in scene.requirement:
                continue
            chance = opinions.told(one, target)
            chance *= opinions.share(one, target, scene, moment.walk.near)
            if chance < _OPINION:
                continue
            evidence = evidence_of(utterance, 0, last, chance)
            says = scene.requirement[target].says
            title = scene.owner[target].title
            reason = f"'{_short(evidence.quote)}' is understood as '{says}', of {title}."
            moment.credit(target, evidence, reason, opinion=True)
    for one in opinions.at(moment.at, "named"):
        for target in one.targets if one.told >= 0.5 else ():
            share = opinions.share(one, target, scene, moment.walk.near)
            if target in scene.items and one.told * share >= 0.5:
                moment.ledger.name(target, evidence_of(utterance, 0, last, one.told * share))


def _short(quote: str) -> str:
    words = quote.split()
    return quote if len(words) <= 14 else " ".join(words[:14]) + " ..."
