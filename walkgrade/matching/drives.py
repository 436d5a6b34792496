"""What the trainee says turns a part, held against what the vehicle has.

Decides: whether the last statement of a part's drive clashes with the vehicle; then it is remarked,
and the run reader is not believed up to there, so that a later, right statement still counts.
Conventions: only plain statements clash (`ConditionMention.drive`), and only of parts surely meant;
a right one takes back the remark on an earlier wrong one. What the vehicle has is `Scene.drive`.
Public: `hold_to_vehicle`, `clashing`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from walkgrade.language.records import ConditionMention, Drive, Polarity
from walkgrade.matching.attach import Link
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.moment import Moment
from walkgrade.matching.records import Remark, RemarkKind

_NOT_BELT = "not_belt"
_SURE = 0.5  # a link, or a guess, below it is no statement of the part
_DOUBT = 0.02  # what is left of the run reader's answer
_LATELY = 2  # utterances after which "it" may well be another part
_ALL = {"all", "both", "each", "every", "everything"}
_LIGHT = _ALL | {
    "it", "it's", "that", "that's", "this", "this's", "one", "one's", "they", "they're", "these",
    "he", "he's", "she", "she's", "which", "is", "are", "and", "also", "too", "now", "then", "so",
    "well", "yes", "yeah", "uh", "um", "okay", "just", "here", "i", "think", "no", "not", "of",
    "them",
}  # fmt: skip
_HAS = {Drive.BELT: "belt driven", Drive.GEAR: "gear driven"}
_SAID = {Drive.BELT: _HAS[Drive.GEAR], Drive.GEAR: _HAS[Drive.BELT]}  # by what the vehicle has


def hold_to_vehicle(links: Sequence[Link], weights: Sequence[float], moment: Moment) -> None:
    """Note clashes of one utterance; `weights[i]` is how surely `links[i]` was stated (0..1)."""
    wrong: dict[Link, list[str]] = {}
    for item, (one, weight) in _last_stated(links, weights, moment).items():
        if one.condition.polarity == Polarity.IDLE:
            _doubt_reader(item, range(moment.at, moment.at + 1), moment)
        elif _drive(one.condition) == moment.scene.drive(item):
            _take_back(item, moment)
        elif clashing(one, item, moment):
            _doubt_reader(item, range(moment.at + 1), moment)
            if weight >= _SURE:
                wrong.setdefault(one, []).append(item)
    for one, items in wrong.items():
        moment.ledger.remarks.append(_remark(tuple(items), one, moment))


def _last_stated(
    links: Sequence[Link], weights: Sequence[float], moment: Moment
) -> dict[str, tuple[Link, float]]:
    """Item id -> the last that was said of its drive; a supposition only where nothing else was."""
    last: dict[str, tuple[Link, float]] = {}
    for one, weight in sorted(zip(links, weights, strict=True), key=_place):
        for item in one.items if one.condition.concept == _NOT_BELT else ():
            if moment.scene.drive(item) is None:
                continue
            if one.condition.polarity == Polarity.IDLE:
                last.setdefault(item, (one, weight))
            else:
                last[item] = (one, weight)
    return last


def _place(stated: tuple[Link, float]) -> int:
    return stated[0].condition.first


def clashing(one: Link, item: str, moment: Moment) -> bool:
    """True when a plain statement of the item's drive goes against the vehicle's.

    Of several parts named together with different drives it is believed where the words say so
    ("all", "both"); of a part named before, where a pronoun or nothing at all stands for it.
    """
    said, has = one.condition.drive, moment.scene.drive(item)
    if said is None or has is None or said == has:
        return False
    words = {token.norm for token in moment.utterance.tokens}
    mixed = any(moment.scene.drive(other) == said for other in one.items)
    if mixed and (one.pronoun or not words & _ALL):
        return False
    return not one.pronoun or _refers(one.condition, moment)


def _refers(condition: ConditionMention, moment: Moment) -> bool:
    """True when no other subject stands before the statement, and no part in its utterance."""
    utterance = moment.utterance
    before = {token.norm for token in utterance.tokens[: condition.first]}
    named = any(not part.sub for part in utterance.parts)
    return before <= _LIGHT and not named and moment.focus.since <= _LATELY


def _drive(condition: ConditionMention) -> Drive | None:
    """The drive stated; words of the lexicon that are no plain statement can only put right."""
    if condition.drive is None and condition.polarity == Polarity.SOUND:
        return Drive.GEAR
    return condition.drive


def _take_back(item: str, moment: Moment) -> None:
    """A remark of several parts is kept for the others."""
    kept = []
    for one in moment.ledger.remarks:
        if one.kind == RemarkKind.PROFILE and item in one.items:
            items = tuple(other for other in one.items if other != item)
            note = _note(items, moment)
            one = replace(one, items=items, note=note)
            if not items:
                continue
        kept.append(one)
    moment.ledger.remarks[:] = kept


def _doubt_reader(item: str, rows: range, moment: Moment) -> None:
    """The run reader hardly tells the drives apart, nor a supposition from a statement: what it
    heard at `rows`, of which the last is this one, earns nothing."""
    if moment.opinions is None:
        return
    for requirement in moment.scene.items[item].requirements:
        if _NOT_BELT in requirement.concepts:
            for row in rows:
                moment.opinions.doubt(row, requirement.id, _DOUBT)
            here = moment.utterance.id if len(rows) == 1 else ""
            moment.ledger.drop_opinions(requirement.id, here)


def _remark(items: tuple[str, ...], one: Link, moment: Moment) -> Remark:
    condition = one.condition
    evidence = evidence_of(moment.utterance, condition.first, condition.last, one.sure)
    note = _note(items, moment)
    return Remark(kind=RemarkKind.PROFILE, note=note, evidence=evidence, items=items)


def _note(items: tuple[str, ...], moment: Moment) -> str:
    told = []
    for item in items:
        title, has = moment.scene.items[item].title, moment.scene.drive(item)
        if has is not None:
            told.append(f"{title}: said to be {_SAID[has]}, on this vehicle it is {_HAS[has]}.")
    return " ".join(told)
