"""Weak phrasing and other things worth a word, utterance by utterance.

Decides: hedges, vague amounts, blanket claims, conditions without a part.
Conventions: notes are plain sentences for the trainee.
Public: `is_blanket`, `remark`.
"""

from __future__ import annotations

from walkgrade.language.records import ConditionMention, Polarity
from walkgrade.matching.attach import Group
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.moment import Moment
from walkgrade.matching.records import Remark, RemarkKind

_LOCAL = frozenset(
    ["here", "under", "down", "in", "else", "area", "back", "section", "rest", "around"]
)
_NOTES = {
    RemarkKind.HEDGE: "Say it as a fact you checked, not as a guess.",
    RemarkKind.VAGUE: "A vague amount: say the number, its unit and which way it counts.",
    RemarkKind.BLANKET: "A blanket claim earns nothing: name each part with its condition.",
    RemarkKind.NO_PART: "A condition without a part: name the part it belongs to.",
}


def is_blanket(groups: list[Group], moment: Moment) -> bool:
    """True when the utterance claims all is well without a part to claim it of.

    Right after a bare list of parts "everything's tight" speaks of the list.
    """
    if groups or not moment.utterance.has("blanket"):
        return False
    words = {token.norm for token in moment.utterance.tokens}
    listed = len(moment.focus.bare) > 1 and moment.focus.age <= 1
    return not (listed and not words & _LOCAL)


def remark(
    groups: list[Group], orphans: list[ConditionMention], blanket: bool, moment: Moment
) -> None:
    """Note the weak phrasing of one utterance."""
    utterance = moment.utterance
    items = tuple(item for group in groups for item in group.items)
    if blanket:
        _note(RemarkKind.BLANKET, 0, len(utterance.tokens), (), moment)
    for name, first, last in utterance.cues:
        if name == "hedge" and (utterance.conditions or groups):
            _note(RemarkKind.HEDGE, first, last, items, moment)
        if name == "vague" and not utterance.numbers:
            _note(RemarkKind.VAGUE, first, last, items, moment)
    clear = [c for c in orphans if c.polarity == Polarity.SOUND]
    if clear and not groups and not utterance.patterns:
        _note(RemarkKind.NO_PART, clear[0].first, clear[-1].last, (), moment)


def _note(kind: RemarkKind, first: int, last: int, items: tuple[str, ...], moment: Moment) -> None:
    evidence = evidence_of(moment.utterance, first, last, 0.9)
    moment.ledger.remarks.append(
        Remark(kind=kind, note=_NOTES[kind], evidence=evidence, items=items)
    )
