"""Going through the talk utterance by utterance, filling the ledger.

Decides: which utterances count, which groups are named, and hands each kind of evidence on:
conditions (attach), wordings (steps), numbers (values), "same as" (carry).
Conventions: only the trainee's utterances earn; order of hearing is order of speaking.
Public: `hear`.
"""

from __future__ import annotations

from dataclasses import replace

from walkgrade.language.records import (
    ConditionMention,
    PartMention,
    Polarity,
    Reading,
    Utterance,
    Voice,
)
from walkgrade.language.words import stem
from walkgrade.matching.attach import Group, Link, link
from walkgrade.matching.carry import carry_over
from walkgrade.matching.credits import Entry, Ledger, evidence_of
from walkgrade.matching.focus import Focus
from walkgrade.matching.records import Remark, RemarkKind
from walkgrade.matching.resolve import resolve, siblings
from walkgrade.matching.scene import Scene
from walkgrade.matching.steps import credit_steps
from walkgrade.matching.values import credit_numbers
from walkgrade.matching.zones import Walk

_HEDGED = 0.8
_GUESSED = 0.45  # two hedges in one breath: a guess
_LISTED = 0.85
_SURE_PLACE = 0.35
_PRESENT = 0.7
_DOUBTFUL = {
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
}
_FIXED = {"mounted", "attached", "bolted", "fastened", "fixed", "connected", "clamped", "secured",
          "secure", "tight", "anchored", "screwed", "welded", "runs", "running", "up", "goes", "go", "going", "leading", "leads", "coming", "connects", "tied"}  # fmt: skip
_LOCAL = ("here", "under", "down", "in", "else", "area", "back", "section", "rest", "around")


def hear(reading: Reading, scene: Scene, walk: Walk) -> Ledger:
    """Fill a ledger from the whole reading."""
    ledger, focus = Ledger(), Focus()
    late = False
    for at, utterance in enumerate(reading.utterances):
        if utterance.voice != Voice.TRAINEE:
            continue
        if utterance.has("other-vehicle"):
            continue
        late = utterance.has("late") or (late and not utterance.parts)
        _hear_one(utterance, at, scene, walk, ledger, focus, late)
    return ledger


def _hear_one(
    utterance: Utterance,
    at: int,
    scene: Scene,
    walk: Walk,
    ledger: Ledger,
    focus: Focus,
    late: bool,
) -> None:
    groups, subs = _groups(utterance, at, scene, walk, ledger, focus)
    carried = carry_over(utterance, at, groups, scene, walk, ledger, focus)
    blanket = _blanket(utterance, groups, focus)
    if blanket:
        ledger.remarks.append(
            Remark(
                kind=RemarkKind.BLANKET,
                note="A blanket claim names no part and earns nothing: say each part and its condition.",
                evidence=evidence_of(utterance, 0, len(utterance.tokens), 0.9),
            )
        )
    links, orphans = ([], []) if blanket else link(utterance, groups, subs, focus)
    links += [Link(condition=c, items=(), about=frozenset(), sure=1.0) for c in orphans]
    links += _echoes(links, utterance, groups)
    told = _credit_all(links, utterance, at, scene, walk, ledger, late)
    told |= _credit_presence(utterance, groups, scene, ledger, late)
    stepped = credit_steps(utterance, at, scene, walk, ledger, late)
    measured = credit_numbers(utterance, at, groups, focus, scene, walk, ledger, late)
    _remark(utterance, orphans, groups, ledger)
    told = told or bool(measured) or carried
    if subs:
        focus.about = frozenset(
            stem(t.norm) for t in utterance.tokens[subs[-1].first : subs[-1].last]
        )
    elif groups:
        focus.about = frozenset()
    if groups:
        focus.kin = groups[-1].kin
        continues = not focus.told and focus.age <= 2
        focus.name(
            [g.items for g in groups],
            told=any(g.told for g in groups) or carried,
            continues=continues,
        )
    else:
        focus.pass_utterance()
        if told:
            focus.spoken_of()
    if stepped and not groups:
        focus.group, focus.kin, focus.age, focus.told = stepped, (), 0, True


def _groups(
    utterance: Utterance, at: int, scene: Scene, walk: Walk, ledger: Ledger, focus: Focus
) -> tuple[list[Group], list[PartMention]]:
    """Runs of part names, resolved to items; sub-parts that no part in focus owns name one too."""
    groups: list[Group] = []
    subs: list[PartMention] = []
    for mention in utterance.parts:
        if _in_cue(mention, utterance) or _misheard(mention, utterance):
            continue
        if groups and _seen_or_owned(mention, utterance):
            continue
        if _unlikely(mention, at, scene, walk) and (groups or focus.age <= 1):
            continue
        if _in_wording(mention, utterance, at, scene, walk) or _passing(
            mention, utterance, at, scene, walk
        ):
            continue
        if mention.local and not _local_here(mention, at, scene, walk):
            continue
        if mention.sub:
            owners = groups[-1].items if groups else focus.group if focus.age <= 3 else ()
            if set(mention.items) & set(owners):
                subs.append(mention)
                continue
            recent = tuple(item for item in reversed(focus.history) if item in mention.items)[:1]
            subs.append(mention)
            if groups or (not recent and focus.age <= 2):
                continue
            items, sure = (
                (recent, 0.7) if recent else resolve(mention, utterance, at, scene, walk, ())
            )
            sure *= 0.75
            if not recent and walk.chance[at, scene.zone_of[items[0]]] < 0.3:
                continue
        else:
            items, sure = resolve(mention, utterance, at, scene, walk, _near(groups, focus))
        kin = () if mention.sub else siblings(mention, items, scene)
        score = sure * mention.score
        if score <= 0.0:
            continue
        evidence = evidence_of(utterance, mention.first, mention.last, score)
        for item in items:
            ledger.name(item, evidence)
        last = groups[-1] if groups else None
        if last is not None and not _told_between(utterance, last.last, mention.first):
            last.items = tuple(dict.fromkeys((*last.items, *items)))
            last.kin = tuple(dict.fromkeys((*last.kin, *kin)))
            last.last, last.sure = mention.last, min(last.sure, max(score, 0.3))
        else:
            groups.append(
                Group(items=items, first=mention.first, last=mention.last, sure=score, kin=kin)
            )
    return groups, subs


def _local_here(mention: PartMention, at: int, scene: Scene, walk: Walk) -> bool:
    """A single word of a longer name counts only where the trainee surely stands."""
    return any(walk.near[at, scene.zone_of[item]] >= _SURE_PLACE for item in mention.items)


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
    """True for what is only seen in a mirror, or belongs to the part before ("the lights on it")."""
    before = {t.norm for t in utterance.tokens[max(0, mention.first - 3) : mention.first]}
    after = [t.norm for t in utterance.tokens[mention.last : mention.last + 2]]
    return bool(before & {"see", "seeing"}) or after in (
        ["on", "it"],
        ["on", "that"],
        ["on", "them"],
    )


def _unlikely(mention: PartMention, at: int, scene: Scene, walk: Walk) -> bool:
    """True for a one-word name whose place is far from where the trainee stands ("steps on it")."""
    if " " in mention.name:
        return False
    return all(walk.near[at, scene.zone_of[item]] < 0.02 for item in mention.items)


def _in_cue(mention: PartMention, utterance: Utterance) -> bool:
    """True when the name is part of a longer place cue ("driver's seat")."""
    size = mention.last - mention.first
    return any(
        cue.first <= mention.first and mention.last <= cue.last and cue.last - cue.first > size
        for cue in utterance.places
    )


def _near(groups: list[Group], focus: Focus) -> tuple[str, ...]:
    if groups:
        return groups[-1].items
    return focus.group if focus.age <= 3 else ()


def _passing(mention: PartMention, utterance: Utterance, at: int, scene: Scene, walk: Walk) -> bool:
    """True for parts named only as an anchor ("bolted to the frame")."""
    before = [t.norm for t in utterance.tokens[max(0, mention.first - 4) : mention.first]]
    lead = [word for word in before if word not in ("the", "its", "my", "a", "that", "this")]
    if not lead or lead[-1] not in ("to", "onto", "on", "off", "against", "into"):
        return False
    if any(word in _FIXED for word in lead[:-1]):
        return True
    places = {scene.items[item].place for item in mention.items}
    here = scene.zones[int(walk.path[at])].place
    return lead[-1] != "on" and here not in places


def _in_wording(
    mention: PartMention, utterance: Utterance, at: int, scene: Scene, walk: Walk
) -> bool:
    """True when the name is only part of a step's wording ("release the parking brake")."""
    for pattern in utterance.patterns:
        item = scene.owner[pattern.requirement]
        within = pattern.first < mention.last and mention.first < pattern.last
        if within and item.section in scene.procedures and item.id not in mention.items:
            if walk.chance[at, scene.zone_of[item.id]] >= 0.3:
                return True
    return False


def _told_between(utterance: Utterance, start: int, end: int) -> bool:
    """True when something is said between two part names, so that they are not one list."""
    if any(start <= c.first < end and c.polarity != Polarity.IDLE for c in utterance.conditions):
        return True
    if any(start <= n.first < end for n in utterance.numbers):
        return True
    return any(t.breaks == ";" for t in utterance.tokens[start + 1 : end])


def _blanket(utterance: Utterance, groups: list[Group], focus: Focus) -> bool:
    """True when the utterance claims all is well without a part to claim it of."""
    spots = [first for name, first, _ in utterance.cues if name == "blanket"]
    if not spots or groups:
        return False
    words = {token.norm for token in utterance.tokens}
    listed = len(focus.bare) > 1 and focus.age <= 1
    return not (listed and not words & set(_LOCAL))


def _credit_presence(
    utterance: Utterance, groups: list[Group], scene: Scene, ledger: Ledger, late: bool
) -> bool:
    """Equipment that is only asked to be there is told by naming it, unless it is in doubt."""
    if _DOUBTFUL & {token.norm for token in utterance.tokens} or utterance.has("hedge"):
        return False
    told = False
    for group in groups:
        for item in group.items:
            for requirement in scene.items[item].requirements:
                if "present" not in requirement.concepts or not requirement.required:
                    continue
                evidence = evidence_of(utterance, group.first, group.last, _PRESENT * group.sure)
                reason = f"'{evidence.quote}' was named as being on board."
                ledger.credit(
                    Entry(requirement=requirement.id, evidence=evidence, reason=reason, late=late),
                    item,
                )
                told = True
    return told


def _echoes(links: list[Link], utterance: Utterance, groups: list[Group]) -> list[Link]:
    """ "... and so do the reds": a part that takes over all that was said of the one before it."""
    added = []
    for before, group in zip(groups, groups[1:], strict=False):
        lead = [t.norm for t in utterance.tokens[max(0, group.first - 3) : group.first]]
        if "so" not in lead or not {"do", "does", "is", "are", "did"} & set(lead):
            continue
        group.told = True
        for one in links:
            if one.items == before.items and one.condition.first < group.first:
                added.append(replace(one, items=group.items, kin=group.kin))
    return added


def _credit_all(
    links: list[Link],
    utterance: Utterance,
    at: int,
    scene: Scene,
    walk: Walk,
    ledger: Ledger,
    late: bool,
) -> bool:
    """Credit all links; what the linked parts do not ask for may tell its part by itself.

    Words that told one condition of a part do not spill over to a sub-part's condition.
    """
    plain: set[tuple[str, int]] = set()
    unheard: list[Link] = []
    told = False
    for one in links:
        span = range(one.condition.first, one.condition.last)
        hearers = _hearers(one, scene)
        if not hearers:
            unheard.append(one)
        for item in hearers:
            for requirement, fit in scene.hears(item, one.condition.concept, one.about):
                if fit == 1.0:
                    plain.update((item, at_) for at_ in span)
    for one in links:
        span = range(one.condition.first, one.condition.last)
        for item in _hearers(one, scene):
            for requirement, fit in scene.hears(item, one.condition.concept, one.about):
                if fit < 1.0 and any((item, at_) in plain for at_ in span):
                    continue
                told |= _credit(one, item, requirement.id, fit, utterance, scene, ledger, late)
    taken = {at_ for _, at_ in plain}
    for one in unheard:
        if one.condition.polarity != Polarity.SOUND or taken & set(
            range(one.condition.first, one.condition.last)
        ):
            continue
        items, likely = scene.rare(one.condition.concept, walk.chance[at])
        for item in items:
            for requirement, fit in scene.hears(item, one.condition.concept, one.about):
                told |= _credit(
                    one, item, requirement.id, fit * likely, utterance, scene, ledger, late
                )
    return told


def _hearers(one: Link, scene: Scene) -> list[str]:
    """The linked items that ask for the condition: those that require it before those that may
    be told it, the parts named before those that share their name."""
    concept, about = one.condition.concept, one.about
    for needed in (True, False):
        for items in (one.items, one.kin):
            heard = [
                item
                for item in items
                if any(r.required or not needed for r, _ in scene.hears(item, concept, about))
            ]
            if heard:
                return heard
    return []


def _credit(
    one: Link,
    item: str,
    requirement: str,
    fit: float,
    utterance: Utterance,
    scene: Scene,
    ledger: Ledger,
    late: bool,
) -> bool:
    """Credit (or hold against) one requirement with a linked condition."""
    condition = one.condition
    if condition.polarity == Polarity.IDLE:
        return False
    doubts = sum(name == "hedge" for name, _, _ in utterance.cues)
    weight = condition.score * (one.sure if one.items else 1.0) * fit
    weight *= (1.0, _HEDGED, _GUESSED)[min(doubts, 2)]
    weight *= _LISTED if condition.polarity == Polarity.LISTED else 1.0
    against = condition.polarity == Polarity.DEFECT
    evidence = evidence_of(utterance, condition.first, condition.last, weight)
    reason = _reason(one, item, scene, utterance)
    ledger.credit(
        Entry(
            requirement=requirement, evidence=evidence, against=against, reason=reason, late=late
        ),
        item,
    )
    if against:
        ledger.remarks.append(
            Remark(
                kind=RemarkKind.DEFECT,
                note=f"A fault was stated of {scene.items[item].title}. On a real vehicle: report it, do not drive.",
                evidence=evidence,
                items=(item,),
            )
        )
    return True


def _reason(one: Link, item: str, scene: Scene, utterance: Utterance) -> str:
    words = utterance.quote(one.condition.first, one.condition.last)
    title = scene.items[item].title
    if one.pronoun:
        return f"'{words}' refers to {title}, named before."
    return f"'{words}' was said of {title}."


def _remark(
    utterance: Utterance, orphans: list[ConditionMention], groups: list[Group], ledger: Ledger
) -> None:
    """Weak phrasing in this utterance."""
    items = tuple(item for group in groups for item in group.items)
    for name, first, last in utterance.cues:
        if name == "hedge" and (utterance.conditions or groups):
            ledger.remarks.append(
                Remark(
                    kind=RemarkKind.HEDGE,
                    note="Say it as a fact you checked, not as a guess.",
                    evidence=evidence_of(utterance, first, last, 0.9),
                    items=items,
                )
            )
        if name == "vague" and not utterance.numbers:
            ledger.remarks.append(
                Remark(
                    kind=RemarkKind.VAGUE,
                    note="A vague amount: say the number, its unit and which way it counts.",
                    evidence=evidence_of(utterance, first, last, 0.8),
                    items=items,
                )
            )
    clear = [c for c in orphans if c.polarity == Polarity.SOUND]
    if clear and not groups and not utterance.patterns:
        ledger.remarks.append(
            Remark(
                kind=RemarkKind.NO_PART,
                note="A condition without a part: name the part it belongs to.",
                evidence=evidence_of(utterance, clear[0].first, clear[-1].last, 0.7),
            )
        )
