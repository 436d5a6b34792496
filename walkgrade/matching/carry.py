"""Carry-over: "same on this side" and its like.

Decides: which items take over what was earned elsewhere. Only where the checklist allows it, only
what was described before, never a stated defect.
Conventions: a carried entry keeps the name of the item it came from.
Public: `carry_over`.
"""

from __future__ import annotations

from walkgrade.language.lexicon import load_lexicon
from walkgrade.language.records import Utterance
from walkgrade.matching.attach import Group
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.moment import Moment
from walkgrade.matching.scene import Scene

_SURE = 0.85
_HEARD = 0.5  # from here on the run reader hears "as before" though no word of the rules says it
_NAMED = 0.5  # from here on the run reader's naming counts


def carry_over(groups: list[Group], moment: Moment) -> bool:
    """Carry credits over when the utterance says so; True when it carried anything."""
    spots = _spots(moment)
    if not spots:
        return False
    targets = _targets(groups, moment)
    done = False
    for item in targets:
        done |= _carry(item, spots[0], moment)
    for group in groups:
        group.told = group.told or (done and bool(set(group.items) & set(targets)))
    return done


def _spots(moment: Moment) -> list[tuple[int, int]]:
    """Where the utterance says so: the rules' words for it, or all of it when the reader hears it
    said in words of its own."""
    spots = [(first, last) for name, first, last in moment.utterance.cues if name == "same"]
    if not spots and moment.opinions is not None and moment.opinions.carries(moment.at) >= _HEARD:
        return [(0, len(moment.utterance.tokens))]
    return spots


def _targets(groups: list[Group], moment: Moment) -> list[str]:
    scene, focus = moment.scene, moment.focus
    places = _target_places(moment)
    named = [item for group in groups for item in group.items]
    named += [item for item in _heard_named(moment) if item not in named]
    if named:
        return _moved(named, places, scene)
    rows = _rows(moment.utterance)
    if rows:
        return [
            item.id
            for item in scene.checklist.items
            if item.place in places and item.row in rows and item.carry_over
        ]
    if focus.group and not focus.told and focus.age <= 1:
        return list(focus.group)
    return []


def _heard_named(moment: Moment) -> list[str]:
    """Items the run reader hears named, that may take something over."""
    if moment.opinions is None:
        return []
    found = moment.opinions.at(moment.at, "named")
    items = [t for one in found if one.told >= _NAMED for t in one.targets]
    return [i for i in items if i in moment.scene.items and moment.scene.items[i].carry_over]


def _moved(named: list[str], places: frozenset[str], scene: Scene) -> list[str]:
    """Named items at the target place; a name that fell on the source is moved to its twin."""
    moved = []
    for item in named:
        twins = [
            other.id
            for other in scene.checklist.items
            if item in other.carry_over and other.place in places
        ]
        at_place = scene.items[item].place in places
        moved.extend([item] if at_place or not twins else twins)
    return list(dict.fromkeys(moved))


def _target_places(moment: Moment) -> frozenset[str]:
    """Places the utterance carries to: cues that are not what it compares with, else the walk's."""
    chosen: set[str] = set()
    for cue in moment.utterance.places:
        if cue.strength >= 0.5:  # weaker ones are what the speaker compares with
            chosen.update(cue.places)
    here = moment.place
    if chosen and len(chosen) > 1 and here in chosen:
        return frozenset({here}) if not _plain_cue(moment.utterance) else frozenset(chosen)
    return frozenset(chosen or {here})


def _plain_cue(utterance: Utterance) -> bool:
    return any(cue.strength >= 1.0 for cue in utterance.places)


def _rows(utterance: Utterance) -> frozenset[str]:
    groups = dict(load_lexicon().groups)
    rows: set[str] = set()
    named = [name for name, _, _ in utterance.cues if name.startswith("group:")]
    narrow = [name for name in named if name != "group:axle"]
    for name in narrow or named:
        rows.update(groups[name.removeprefix("group:")])
    return frozenset(rows)


def _carry(item_id: str, spot: tuple[int, int], moment: Moment) -> bool:
    scene, ledger, utterance = moment.scene, moment.ledger, moment.utterance
    item = scene.items[item_id]
    done = False
    for source in item.carry_over:
        if source not in scene.items or not ledger.named.get(source):
            continue
        for requirement in item.requirements:
            twin = f"{source}.{requirement.id.removeprefix(item_id + '.')}"
            if twin not in scene.requirement or not ledger.earned(twin):
                continue
            if scene.requirement[twin].limit != requirement.limit and not requirement.concepts:
                continue  # another axle, another number: it must be said
            best = max(e.evidence.confidence for e in ledger.entries[twin] if not e.against)
            evidence = evidence_of(utterance, *spot, best * _SURE + 0.08)
            reason = (
                f"'{evidence.quote}' carries over what was said of {scene.items[source].title}."
            )
            moment.credit(requirement.id, evidence, reason, carried_from=source)
            done = True
        if done:
            ledger.carried[item_id] = source
            ledger.name(item_id, evidence_of(utterance, *spot, 0.8))
            break
    return done
