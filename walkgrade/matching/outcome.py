"""From the evidence to outcomes.

Decides: the outcome of each requirement and item, and how sure it is: by the judge where the run
reader gave its opinions, by the rules alone where it did not.
Conventions: see `ruling` for how statements settle; confidence is the chance that the outcome is
right.
Public: `settle`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from walkgrade.checklists.records import Item, Requirement
from walkgrade.matching.corrected import rule_wrong
from walkgrade.matching.credits import Ledger
from walkgrade.matching.judge import Marks
from walkgrade.matching.records import (
    ItemFinding,
    ItemOutcome,
    Outcome,
    RequirementFinding,
)
from walkgrade.matching.ruling import Bar, Ruling, rule
from walkgrade.matching.scene import Scene

_SURE_NUMBER = 0.5
_SHORT = 0.001


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """The judge's marks, its probabilities by requirement id, and the requirements that anything
    was heard for at all: no other can count as said, however usual it is to say it."""

    marks: Marks
    chances: Mapping[str, float]
    evident: frozenset[str]

    def chance(self, requirement: str) -> float:
        """Probability that it was earned; below `said` without evidence."""
        found = self.chances[requirement]
        return found if requirement in self.evident else min(found, self.marks.said - _SHORT)


def settle(
    ledger: Ledger, scene: Scene, bar: Bar, judged: Judged | None = None
) -> tuple[ItemFinding, ...]:
    """Findings of all items in checklist order."""
    return tuple(_item(item, ledger, bar, judged) for item in scene.checklist.items)


def _requirement(
    requirement: Requirement, ledger: Ledger, bar: Bar, judged: Judged | None
) -> RequirementFinding:
    entries = ledger.entries.get(requirement.id, [])
    if judged is None:
        ruling = rule(entries, bar)
    else:
        by_rules = rule([e for e in entries if not e.opinion], bar)
        chance = judged.chance(requirement.id)
        stands = _wrong_number(requirement, ledger) or _clashes(by_rules, requirement, judged)
        ruling = _judged(by_rules, rule(entries, bar), chance, judged.marks, stands)
    shown = ruling.shown
    carried = next((e.carried_from for e in shown if e.carried_from), "")
    return RequirementFinding(
        requirement=requirement.id,
        required=requirement.required,
        outcome=ruling.outcome,
        confidence=round(ruling.confidence, 3),
        evidence=tuple(e.evidence for e in sorted(shown, key=lambda e: e.evidence.start)),
        reason=shown[0].reason if shown else "",
        carried_from=carried if all(e.carried_from for e in shown) else "",
    )


def _judged(by_rules: Ruling, by_all: Ruling, chance: float, marks: Marks, stands: bool) -> Ruling:
    """The judge's outcome, with the evidence that speaks for it.

    A contradiction that `stands` does so whatever the judge thinks; a stated fault does where the
    judge does not think the requirement earned all the same ("not a one is cracked").
    """
    against = by_rules.outcome == Outcome.CONTRADICTED
    if against and (stands or chance < marks.listen):
        sure = max(by_rules.confidence if stands else 0.0, 1.0 - chance)
        return Ruling(outcome=Outcome.CONTRADICTED, confidence=sure, shown=by_rules.shown)
    shown = tuple(e for e in by_all.shown if not e.against)
    if chance >= marks.said:
        return Ruling(outcome=Outcome.SAID, confidence=chance, shown=shown)
    if chance >= marks.listen:
        return Ruling(outcome=Outcome.UNCLEAR, confidence=chance, shown=shown)
    return Ruling(outcome=Outcome.NOT_SAID, confidence=1.0 - chance, shown=shown)


def _clashes(by_rules: Ruling, requirement: Requirement, judged: Judged) -> bool:
    """True when the vehicle has something else than was stated, and nothing was heard for the
    requirement since (`drives` takes away what was heard before)."""
    return any(e.clash for e in by_rules.shown) and requirement.id not in judged.evident


def _wrong_number(requirement: Requirement, ledger: Ledger) -> bool:
    """True when the last rule surely said of the limit was not right."""
    sure = [n for n in ledger.numbers if n.evidence.confidence >= _SURE_NUMBER]
    return rule_wrong(sure, requirement)


def _item(item: Item, ledger: Ledger, bar: Bar, judged: Judged | None) -> ItemFinding:
    findings = tuple(_requirement(r, ledger, bar, judged) for r in item.requirements)
    named = tuple(sorted(ledger.named.get(item.id, []), key=lambda e: (-e.confidence, e.start))[:3])
    needed = [f for f in findings if f.required]
    said = [f for f in needed if f.outcome == Outcome.SAID]
    unclear = [f for f in needed if f.outcome == Outcome.UNCLEAR]
    wrong = [f for f in findings if f.outcome == Outcome.CONTRADICTED]
    if wrong:
        outcome, confidence = ItemOutcome.WRONG, max(f.confidence for f in wrong)
    elif _in_doubt(needed, judged):
        outcome, confidence = ItemOutcome.NEEDS_LISTENING, 0.5
    elif needed and len(said) == len(needed):
        outcome, confidence = ItemOutcome.COMPLETE, min(f.confidence for f in said)
    elif judged is None and unclear and len(said) + len(unclear) == len(needed):
        outcome, confidence = ItemOutcome.NEEDS_LISTENING, 0.5
    elif said or unclear:
        left = [f.confidence for f in needed if f not in said]
        outcome, confidence = ItemOutcome.INCOMPLETE, max(left)
    elif named:
        outcome, confidence = ItemOutcome.NAMED_ONLY, min(1.0, named[0].confidence)
    else:
        outcome, confidence = ItemOutcome.MISSED, 0.9
    return ItemFinding(
        item=item.id,
        outcome=outcome,
        confidence=round(confidence, 3),
        named=named,
        requirements=findings,
        late=_late(findings, ledger),
        close_call=outcome is ItemOutcome.COMPLETE and _close(needed, judged),
    )


def _in_doubt(needed: list[RequirementFinding], judged: Judged | None) -> bool:
    """True when the weakest required requirement may have been said."""
    if judged is None or not needed:
        return False
    return judged.marks.listen <= _weakest(needed, judged) < judged.marks.said


def _close(needed: list[RequirementFinding], judged: Judged | None) -> bool:
    """True when the weakest required requirement counts as said, but may not have been."""
    if judged is None or not needed:
        return False
    return judged.marks.said <= _weakest(needed, judged) < judged.marks.sure


def _weakest(needed: list[RequirementFinding], judged: Judged) -> float:
    return min(judged.chance(f.requirement) for f in needed)


def _late(findings: tuple[RequirementFinding, ...], ledger: Ledger) -> bool:
    lates = [
        e.late
        for f in findings
        if f.outcome == Outcome.SAID
        for e in ledger.entries.get(f.requirement, [])
        if not e.against
    ]
    return bool(lates) and lates[0] and any(lates)
