"""Tying conditions to parts: within the utterance, forwards, backwards, to groups, by pronoun.

Decides: for every condition of an utterance, the items it is said of.
Conventions: works on one utterance at a time; targets are (items, sub-part stems, sureness).
A group is a run of part names with nothing said between them.
Public: `Group`, `Link`, `link`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from walkgrade.language.records import ConditionMention, PartMention, Utterance
from walkgrade.language.words import stem
from walkgrade.matching.focus import Focus

_TOWARDS = {
    "on",
    "in",
    "at",
    "of",
    "from",
    "around",
    "under",
    "near",
    "to",
    "inside",
    "with",
    "for",
    "along",
    "by",
}
_THIN = _TOWARDS | {
    "the",
    "my",
    "your",
    "our",
    "any",
    "all",
    "both",
    "either",
    "this",
    "these",
    "that",
    "each",
    "is",
    "and",
    "that's",
    "those",
    "a",
    "an",
    "its",
    "front",
    "rear",
    "left",
    "right",
    "other",
    "two",
}
_PRONOUNS = {"it", "it's", "they", "they're", "its", "this", "these", "both"}
_SHOWING = {"that's", "that'd", "this's"}
_SHOWING_PAIRS = {
    ("this", "is"),
    ("these", "are"),
    ("those", "are"),
    ("that", "is"),
    ("here", "is"),
    ("this", "one's"),
    ("one's", "a"),
    ("one's", "the"),
    ("so", "that's"),
}
_SUMS = {
    "all",
    "both",
    "none",
    "neither",
    "those",
    "these",
    "they",
    "they're",
    "each",
    "everything's",
}
_CLAUSE = {"and", "also", "then", "plus", "with", "but"}


@dataclass(slots=True)
class Group:
    """Parts named together, and where they stand in the utterance; `kin` share their names."""

    items: tuple[str, ...]
    first: int
    last: int
    sure: float
    told: bool = False
    kin: tuple[str, ...] = ()
    subs: list[PartMention] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A condition (by its index) said of some items."""

    condition: ConditionMention
    items: tuple[str, ...]
    about: frozenset[str]
    sure: float
    kin: tuple[str, ...] = ()
    pronoun: bool = False


def link(
    utterance: Utterance,
    groups: list[Group],
    subs: list[PartMention],
    focus: Focus,
    presented: Sequence[Group] = (),
) -> tuple[list[Link], list[ConditionMention]]:
    """Links of all conditions of an utterance, and the conditions that found no part.

    Parameters
    ----------
    groups : part groups of the utterance in token order.
    subs : sub-part words in token order.
    presented : groups that the next utterance presents as what this one spoke of.
    """
    links, orphans = [], []
    for condition in utterance.conditions:
        group = _target(condition, utterance, groups, focus)
        about = _about(condition, utterance, subs, group)
        if group is not None:
            group.told = True
            wide = _all_before(condition, utterance, groups)
            if wide:
                for one in wide:
                    one.told = True
                    links.append(
                        Link(
                            condition=condition,
                            items=one.items,
                            about=about,
                            sure=one.sure * 0.95,
                            kin=one.kin,
                        )
                    )
                continue
            links.append(
                Link(
                    condition=condition,
                    items=group.items,
                    about=about,
                    sure=group.sure,
                    kin=group.kin,
                )
            )
            continue
        items, sure = focus.meant(utterance)
        if presented:
            items = tuple(dict.fromkeys(item for g in presented for item in g.items))
            sure = min(g.sure for g in presented) * 0.9
        if utterance.has("sumup") and focus.age <= 1 and not presented:
            items = tuple(dict.fromkeys((*items, *(i for g in focus.trail for i in g))))
        about = about or (focus.about if focus.age <= 2 else frozenset())
        if items:
            links.append(
                Link(
                    condition=condition,
                    items=items,
                    about=about,
                    sure=sure,
                    kin=focus.kin,
                    pronoun=True,
                )
            )
        else:
            orphans.append(condition)
    return links, orphans


def _all_before(
    condition: ConditionMention, utterance: Utterance, groups: list[Group]
) -> list[Group]:
    """All groups before a condition that a quantifier in a clause of its own sums up."""
    before = [g for g in groups if g.last <= condition.first]
    if len(before) < 2:
        return []
    gap = utterance.tokens[before[-1].last : condition.first]
    for at, token in enumerate(gap):
        summed = token.norm in _SUMS and (
            any(t.breaks for t in gap[: at + 1]) or (at and gap[at - 1].norm == "and")
        )
        if summed:
            return before
    return []


def _target(
    condition: ConditionMention, utterance: Utterance, groups: list[Group], focus: Focus
) -> Group | None:
    """The group of this utterance that the condition is said of, None for the focus."""
    before = [g for g in groups if g.first < condition.last]
    after = [g for g in groups if g.first >= condition.last]
    ahead = after[0] if after else None
    if ahead is not None and _leads_to(condition, ahead, utterance):
        if not before or _new_clause(condition, before[-1], utterance):
            return ahead
    if before:
        return before[-1]
    if ahead is None:
        return None
    own = any(c.first >= ahead.last for c in utterance.conditions)
    if own:
        return None
    if _presented(ahead, utterance):
        return ahead
    pronoun = any(t.norm in _PRONOUNS for t in utterance.tokens[: condition.first])
    fresh = not focus.told and focus.group and focus.age <= 1
    return None if pronoun or fresh else ahead


def _presented(group: Group, utterance: Utterance) -> bool:
    """ "..., that's the steering box", "..., the lug nuts": the part comes last, set apart."""
    lead = list(utterance.tokens[max(0, group.first - 4) : group.first])
    words = [t.norm for t in lead]
    if any(w in _SHOWING for w in words) or any(
        pair in _SHOWING_PAIRS for pair in zip(words, words[1:], strict=False)
    ):
        return True
    last = utterance.tokens[group.first]
    set_apart = bool(last.breaks) or (
        bool(lead)
        and bool(lead[-1].breaks)
        and words[-1] in ("the", "my", "this", "these", "those", "both")
    )
    return set_apart and group.last >= len(utterance.tokens) - 2


def _leads_to(condition: ConditionMention, group: Group, utterance: Utterance) -> bool:
    """True when only small words stand between, one of them a preposition."""
    between = [t.norm for t in utterance.tokens[condition.last : group.first]]
    if len(between) > 5:
        return False
    if all(w in _THIN or _listed(w, utterance, condition, group) for w in between):
        return any(w in _TOWARDS for w in between) or between[:1] == ["that's"]
    return False


def _listed(word: str, utterance: Utterance, condition: ConditionMention, group: Group) -> bool:
    """Further conditions of one list may stand between ("no cracks or leaks on the hose")."""
    return word == "or" or any(
        c.first < group.first and any(t.norm == word for t in utterance.tokens[c.first : c.last])
        for c in utterance.conditions
        if c.first >= condition.last
    )


def _new_clause(condition: ConditionMention, group: Group, utterance: Utterance) -> bool:
    """True when the condition opens a clause of its own after the group's own predicate."""
    if not group.told:
        return False
    low = max(group.last, condition.first - 4)
    for at in range(condition.first, low - 1, -1):
        token = utterance.tokens[at]
        if token.breaks or token.norm in _CLAUSE:
            return True
    return False


def _about(
    condition: ConditionMention, utterance: Utterance, subs: list[PartMention], group: Group | None
) -> frozenset[str]:
    """Stems of the sub-part the condition is said of: the last before it, or one it leads to."""
    start = group.first if group is not None and group.first < condition.first else 0
    chosen: PartMention | None = None
    for sub in subs:
        if start <= sub.first < condition.first:
            chosen = sub
        elif sub.first >= condition.last:
            gap = [t.norm for t in utterance.tokens[condition.last : sub.first]]
            if len(gap) <= 4 and any(w in _TOWARDS for w in gap) and all(w in _THIN for w in gap):
                chosen = sub
            break
    if chosen is None:
        return frozenset()
    return frozenset(stem(t.norm) for t in utterance.tokens[chosen.first : chosen.last])
