"""The truth of a script: the outcome of every item that applies, by the rules of LABELLING.md.

Decides: how line labels add up to item outcomes. The last statement about a requirement stands:
a later right one repairs an earlier wrong one, and the other way about. Only the trainee's lines
count.
Conventions: requirement ids are full (`front-axle.tyre.tread`) in every result.
Public: `truth_of`, `requirements_of`, and, for callers that need one import, `load_script` and
`to_transcript`.
"""

from __future__ import annotations

from seeds.script import Script, load_script, to_transcript
from walkgrade.checklists.records import Checklist, Item, VehicleProfile
from walkgrade.matching.records import ItemOutcome

__all__ = ["applicable_items", "load_script", "requirements_of", "to_transcript", "truth_of"]

EARNED, WRONG = "earned", "wrong"


def applicable_items(checklist: Checklist, profile: VehicleProfile) -> tuple[Item, ...]:
    """The items of `checklist` that this vehicle has, in checklist order."""
    return tuple(item for item in checklist.items if profile.has(item.if_fitted))


def requirements_of(script: Script) -> dict[str, str]:
    """Full requirement id -> ``earned`` or ``wrong``, as the last statement left it.

    A requirement never spoken of is absent.
    """
    standing: dict[str, str] = {}
    for line in script.lines:
        if line.who != "trainee":
            continue
        for pairs, state in ((line.earns, EARNED), (line.wrong, WRONG)):
            for item, shorts in pairs:
                standing.update({f"{item}.{short}": state for short in shorts})
    return standing


def truth_of(
    script: Script, checklist: Checklist, profile: VehicleProfile
) -> dict[str, ItemOutcome]:
    """Outcome of every applicable item, in checklist order.

    wrong: some applicable requirement stands wrong. complete: every required applicable one is
    earned (an item without any is complete when named). incomplete: something, not everything,
    is earned. named only: named, nothing earned. missed: neither named nor earned.
    """
    standing = requirements_of(script)
    named = {
        item
        for line in script.lines
        if line.who == "trainee"
        for item, _ in (*line.earns, *line.wrong)
    }
    return {
        item.id: _outcome(item, profile, standing, item.id in named)
        for item in applicable_items(checklist, profile)
    }


def _outcome(
    item: Item, profile: VehicleProfile, standing: dict[str, str], named: bool
) -> ItemOutcome:
    applicable = [one for one in item.requirements if profile.has(one.if_fitted)]
    states = {one.id: standing.get(one.id, "") for one in applicable}
    if WRONG in states.values():
        return ItemOutcome.WRONG
    if not named:
        return ItemOutcome.MISSED
    if all(states[one.id] == EARNED for one in applicable if one.required):
        return ItemOutcome.COMPLETE
    if EARNED in states.values():
        return ItemOutcome.INCOMPLETE
    return ItemOutcome.NAMED_ONLY
