"""Going through the talk utterance by utterance, filling the ledger.

Decides: which utterances count, in which order the kinds of evidence are taken, and what is in
focus afterwards.
Conventions: only the trainee's utterances earn; order of hearing is order of speaking.
Public: `hear`.
"""

from __future__ import annotations

from dataclasses import replace

from walkgrade.language.records import ConditionMention, PartMention, Reading, Utterance, Voice
from walkgrade.language.untold import comes_back
from walkgrade.language.words import stem
from walkgrade.matching.announce import announced
from walkgrade.matching.attach import Group, Link, link
from walkgrade.matching.carry import carry_over
from walkgrade.matching.crediting import (
    credit_links,
    credit_opinions,
    credit_presence,
    echoes,
)
from walkgrade.matching.credits import Ledger
from walkgrade.matching.doubting import doubt
from walkgrade.matching.focus import Focus
from walkgrade.matching.moment import Moment
from walkgrade.matching.naming import name_groups
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.phrasing import is_blanket, remark
from walkgrade.matching.scene import Scene
from walkgrade.matching.steps import credit_steps
from walkgrade.matching.values import credit_numbers
from walkgrade.matching.zones import Walk

_JUST_BEFORE = 2
"""Utterances before a blanket claim in which a part may be named that it speaks of."""
_SHORTEST = 4  # tokens before the turn that can say something of this vehicle


def hear(reading: Reading, scene: Scene, walk: Walk, opinions: Opinions | None = None) -> Ledger:
    """Fill a ledger from the whole reading, and from the run reader's opinions on it."""
    ledger, focus = Ledger(), Focus()
    spoken = [
        (at, ours)
        for at, utterance in enumerate(reading.utterances)
        if utterance.voice == Voice.TRAINEE and (ours := _of_this_vehicle(utterance)) is not None
    ]
    if opinions is not None:
        _set_aside(reading, scene, walk, opinions)
    last_parts = announced([utterance for _, utterance in spoken])
    late = False
    for (at, utterance), later, following in zip(
        spoken, last_parts, [*spoken, None][1:], strict=True
    ):
        late = utterance.has("late") or (late and not utterance.parts)
        moment = Moment(
            utterance=utterance,
            at=at,
            scene=scene,
            walk=walk,
            ledger=ledger,
            focus=focus,
            late=late,
            opinions=opinions,
            coming=following[1].numbers if following else (),
        )
        if opinions is not None:
            doubt(moment, elsewhere=False, unnamed=_names_nothing(reading, at))
            credit_opinions(moment, opinions)
        _hear_one(moment, _groups_of(later, moment) if later is not None else [])
    return ledger


def _set_aside(reading: Reading, scene: Scene, walk: Walk, opinions: Opinions) -> None:
    """Believe the run reader little where the talk is of another vehicle."""
    for at, utterance in enumerate(reading.utterances):
        if utterance.voice == Voice.TRAINEE and utterance.has("other-vehicle"):
            there = Moment(
                utterance=utterance, at=at, scene=scene, walk=walk, ledger=Ledger(), focus=Focus(),
                opinions=opinions,
            )  # fmt: skip
            doubt(there, elsewhere=_of_this_vehicle(utterance) is None)


def _names_nothing(reading: Reading, at: int) -> bool:
    """A blanket claim where no part was named just before it that it could speak of."""
    near = reading.utterances[max(0, at - _JUST_BEFORE) : at + 1]
    return near[-1].has("blanket") and not any(utterance.parts for utterance in near)


def _of_this_vehicle(utterance: Utterance) -> Utterance | None:
    """The utterance up to where it turns to another vehicle; None when nothing is left."""
    turns = [first for name, first, _ in utterance.cues if name == "other-vehicle"]
    if not turns:
        return utterance
    end = min(turns)
    if end < _SHORTEST:
        return None
    return replace(
        utterance,
        parts=tuple(m for m in utterance.parts if m.last <= end),
        conditions=tuple(m for m in utterance.conditions if m.last <= end),
        patterns=tuple(m for m in utterance.patterns if m.last <= end),
        numbers=tuple(
            m if m.last <= end or comes_back(m, utterance.tokens) else replace(m, idle=True)
            for m in utterance.numbers
        ),
    )


def _groups_of(later: Utterance, moment: Moment) -> list[Group]:
    """The parts that a following utterance presents ("That's the steering box.")."""
    ahead = Moment(
        utterance=later, at=min(moment.at + 1, len(moment.walk.path) - 1), scene=moment.scene,
        walk=moment.walk, ledger=Ledger(), focus=Focus(),
    )  # fmt: skip
    return name_groups(ahead)[0]


def _hear_one(moment: Moment, presented: list[Group]) -> None:
    groups, subs = name_groups(moment)
    carried = carry_over(groups, moment)
    blanket = is_blanket(groups, moment)
    links: list[Link] = []
    orphans: list[ConditionMention] = []
    if not blanket:
        links, orphans = link(moment.utterance, groups, subs, moment.focus, presented)
    links += echoes(links, groups, moment)
    told = credit_links(
        links + [Link(condition=c, items=(), about=frozenset(), sure=1.0) for c in orphans], moment
    )
    told |= credit_presence(groups, moment)
    stepped = credit_steps(moment)
    told |= bool(credit_numbers(groups, moment)) or carried
    remark(groups, orphans, blanket, moment)
    _refocus(groups, subs, stepped, told, carried, moment)


def _refocus(
    groups: list[Group],
    subs: list[PartMention],
    stepped: tuple[str, ...],
    told: bool,
    carried: bool,
    moment: Moment,
) -> None:
    """What "it" and "they" mean after this utterance."""
    focus, tokens = moment.focus, moment.utterance.tokens
    if subs:
        focus.about = frozenset(stem(t.norm) for t in tokens[subs[-1].first : subs[-1].last])
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
        return
    focus.pass_utterance()
    if told:
        focus.spoken_of()
    if stepped:
        focus.group, focus.kin, focus.age, focus.told = stepped, (), 0, True
