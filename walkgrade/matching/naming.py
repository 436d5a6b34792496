"""Which parts an utterance names: runs of names, resolved to items.

Decides: which name words are names here, and which are anchors, misheard, seen in a mirror, part
of a step's wording or of a place cue.
Conventions: groups are in token order; a group is a list with nothing said between its names.
Public: `name_groups`.
"""

from __future__ import annotations

from dataclasses import replace

from walkgrade.language.records import PartMention, Polarity, Utterance
from walkgrade.matching.attach import Group
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.moment import Moment
from walkgrade.matching.resolve import resolve, siblings

_SURE_PLACE = 0.35
_FIXED = frozenset(
    [
        "mounted",
        "attached",
        "bolted",
        "fastened",
        "fixed",
        "connected",
        "clamped",
        "secured",
        "secure",
        "tight",
        "anchored",
        "screwed",
        "welded",
        "runs",
        "running",
        "up",
        "goes",
        "go",
        "going",
        "leading",
        "leads",
        "coming",
        "connects",
        "tied",
    ]
)


def name_groups(moment: Moment) -> tuple[list[Group], list[PartMention]]:
    """Groups named in the utterance, and the sub-part words in it.

    A sub-part that no part in focus owns names the part it was last heard with, or the one of this
    place, when nothing else is being talked about.
    """
    groups: list[Group] = []
    subs: list[PartMention] = []
    for whole in moment.utterance.parts:
        mention = _without_drive(whole, moment.utterance)
        if _means_nothing(mention, moment, bool(groups)):
            continue
        if mention.sub and _is_drive(mention, moment.utterance):
            continue
        if mention.sub:
            subs.append(mention)
            found = _by_sub_part(mention, moment, groups)
        else:
            found = resolve(mention, moment, _beside(groups, moment))
        items, sure = found
        score = sure * mention.score
        if not items or score <= 0.0:
            continue
        evidence = evidence_of(moment.utterance, mention.first, mention.last, score)
        for item in items:
            moment.ledger.name(item, evidence)
        kin = () if mention.sub else siblings(mention, items, moment.scene)
        _join(
            groups,
            Group(items=items, first=mention.first, last=mention.last, sure=score, kin=kin),
            moment.utterance,
        )
    return groups, subs


def _join(groups: list[Group], new: Group, utterance: Utterance) -> None:
    """Add a named part to the last list, or open a new group when something was said between."""
    last = groups[-1] if groups else None
    if last is None or _told_between(utterance, last.last, new.first):
        groups.append(new)
        return
    last.items = tuple(dict.fromkeys((*last.items, *new.items)))
    last.kin = tuple(dict.fromkeys((*last.kin, *new.kin)))
    last.last, last.sure = new.last, min(last.sure, max(new.sure, 0.3))


def _by_sub_part(
    mention: PartMention, moment: Moment, groups: list[Group]
) -> tuple[tuple[str, ...], float]:
    focus = moment.focus
    owners = groups[-1].items if groups else focus.group if focus.age <= 3 else ()
    if set(mention.items) & set(owners) or groups:
        return (), 0.0
    recent = tuple(item for item in reversed(focus.history) if item in mention.items)[:1]
    if recent:
        return recent, 0.5
    if focus.age <= 2:
        return (), 0.0
    items, sure = resolve(mention, moment, ())
    return (items, sure * 0.75) if moment.chance(items[0]) >= 0.3 else ((), 0.0)


def _means_nothing(mention: PartMention, moment: Moment, after_group: bool) -> bool:
    """True when the words name no part here."""
    if _in_cue(mention, moment.utterance) or _misheard(mention, moment.utterance):
        return True
    if after_group and _seen_or_owned(mention, moment.utterance):
        return True
    if _unlikely(mention, moment) and (after_group or moment.focus.age <= 1):
        return True
    if _in_wording(mention, moment) or _passing(mention, moment):
        return True
    return mention.local and not any(moment.near(item) >= _SURE_PLACE for item in mention.items)


def _is_drive(mention: PartMention, utterance: Utterance) -> bool:
    """True for the belt of "runs off a belt", "no belt": a drive, whatever part it turns."""
    return any(
        c.concept == "not_belt" and c.first <= mention.first and mention.last <= c.last
        for c in utterance.conditions
    )


def _without_drive(mention: PartMention, utterance: Utterance) -> PartMention:
    """The name without the belt of a drive said of it ("the air compressor | belt driven")."""
    ends = [c.first for c in utterance.conditions if mention.first < c.first < mention.last]
    drives = [c.first for c in utterance.conditions if c.drive is not None and c.first in ends]
    return replace(mention, last=min(drives)) if drives else mention


def _beside(groups: list[Group], moment: Moment) -> tuple[str, ...]:
    if groups:
        return groups[-1].items
    return moment.focus.group if moment.focus.age <= 3 else ()


def _misheard(mention: PartMention, utterance: Utterance) -> bool:
    """True when doubtful name words are plainly a condition's ("shiny threads")."""
    return (
        mention.score < 0.95
        and mention.last - mention.first == 1
        and any(
            c.last - c.first > 1 and c.first < mention.last and mention.first < c.last
            for c in utterance.conditions
        )
    )


def _seen_or_owned(mention: PartMention, utterance: Utterance) -> bool:
    """True for what is seen in a mirror, or belongs to the part before ("the lights on it")."""
    before = {t.norm for t in utterance.tokens[max(0, mention.first - 3) : mention.first]}
    after = [t.norm for t in utterance.tokens[mention.last : mention.last + 2]]
    return bool(before & {"see", "seeing"}) or after in (
        ["on", "it"],
        ["on", "that"],
        ["on", "them"],
    )


def _unlikely(mention: PartMention, moment: Moment) -> bool:
    """True for a one-word name whose place is far from where the trainee stands ("steps on it")."""
    return " " not in mention.name and all(moment.near(item) < 0.02 for item in mention.items)


def _in_cue(mention: PartMention, utterance: Utterance) -> bool:
    """True when the name is part of a longer place cue ("driver's seat")."""
    size = mention.last - mention.first
    return any(
        cue.first <= mention.first and mention.last <= cue.last and cue.last - cue.first > size
        for cue in utterance.places
    )


def _passing(mention: PartMention, moment: Moment) -> bool:
    """True for parts named only as an anchor ("bolted to the frame")."""
    tokens = moment.utterance.tokens[max(0, mention.first - 4) : mention.first]
    lead = [t.norm for t in tokens if t.norm not in ("the", "its", "my", "a", "that", "this")]
    if not lead or lead[-1] not in ("to", "onto", "on", "off", "against", "into"):
        return False
    if any(word in _FIXED for word in lead[:-1]):
        return True
    places = {moment.scene.items[item].place for item in mention.items}
    return lead[-1] != "on" and moment.place not in places


def _in_wording(mention: PartMention, moment: Moment) -> bool:
    """True when the name is only part of a step's wording ("release the parking brake")."""
    scene = moment.scene
    for pattern in moment.utterance.patterns:
        item = scene.owner.get(pattern.requirement)
        if item is None:
            continue
        within = pattern.first < mention.last and mention.first < pattern.last
        ours = item.section in scene.procedures and item.id not in mention.items
        if within and ours and moment.chance(item.id) >= 0.3:
            return True
    return False


def _told_between(utterance: Utterance, start: int, end: int) -> bool:
    """True when something is said between two part names, so that they are not one list."""
    if any(start <= c.first < end and c.polarity != Polarity.IDLE for c in utterance.conditions):
        return True
    if any(start <= n.first < end for n in utterance.numbers):
        return True
    return any(t.breaks == ";" for t in utterance.tokens[start + 1 : end])
