"""From the ledger to outcomes.

Decides: the outcome of each requirement and item, and how sure it is.
Conventions: the last settled statement counts: a correct one repairs an earlier wrong one, a
defect stated later stands. Thresholds are in `Bar`.
Public: `Bar`, `settle`.
"""

from __future__ import annotations

from dataclasses import dataclass

from walkgrade.checklists.records import Item, Requirement
from walkgrade.matching.credits import Entry, Ledger
from walkgrade.matching.records import (
    ItemFinding,
    ItemOutcome,
    Outcome,
    RequirementFinding,
)
from walkgrade.matching.scene import Scene


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """Confidence from which evidence counts as said, and from which it is worth a listen."""

    said: float = 0.5
    unclear: float = 0.3
    against: float = 0.55


def settle(ledger: Ledger, scene: Scene, bar: Bar) -> tuple[ItemFinding, ...]:
    """Findings of all items in checklist order."""
    return tuple(_item(item, ledger, bar) for item in scene.checklist.items)


def _requirement(requirement: Requirement, entries: list[Entry], bar: Bar) -> RequirementFinding:
    """Outcome of one requirement from its entries in spoken order."""
    support = [e for e in entries if not e.against]
    against = [e for e in entries if e.against and e.evidence.confidence >= bar.against]
    sure = 1.0
    for confidence in sorted(
        {e.evidence.utterance: e.evidence.confidence for e in support}.values()
    ):
        sure *= 1.0 - confidence
    sure = 1.0 - sure
    strong = [e for e in support if e.evidence.confidence >= bar.said]
    last_good = max((e.evidence.start for e in strong), default=-1)
    stands = [e for e in against if e.evidence.start > last_good]
    if stands:
        outcome, shown, confidence = (
            Outcome.CONTRADICTED,
            stands,
            max(e.evidence.confidence for e in stands),
        )
    elif sure >= bar.said and support:
        outcome, shown, confidence = Outcome.SAID, support, sure
    elif sure >= bar.unclear:
        outcome, shown, confidence = Outcome.UNCLEAR, support, sure
    else:
        outcome, shown, confidence = Outcome.NOT_SAID, support, 1.0 - sure
    shown = sorted(shown, key=lambda e: (-e.evidence.confidence, e.evidence.start))[:3]
    carried = next((e.carried_from for e in shown if e.carried_from), "")
    return RequirementFinding(
        requirement=requirement.id,
        required=requirement.required,
        outcome=outcome,
        confidence=round(confidence, 3),
        evidence=tuple(e.evidence for e in sorted(shown, key=lambda e: e.evidence.start)),
        reason=shown[0].reason if shown else "",
        carried_from=carried if all(e.carried_from for e in shown) else "",
    )


def _item(item: Item, ledger: Ledger, bar: Bar) -> ItemFinding:
    findings = tuple(_requirement(r, ledger.entries.get(r.id, []), bar) for r in item.requirements)
    named = tuple(sorted(ledger.named.get(item.id, []), key=lambda e: (-e.confidence, e.start))[:3])
    needed = [f for f in findings if f.required]
    said = [f for f in needed if f.outcome == Outcome.SAID]
    unclear = [f for f in needed if f.outcome == Outcome.UNCLEAR]
    wrong = [f for f in findings if f.outcome == Outcome.CONTRADICTED]
    if wrong:
        outcome, confidence = ItemOutcome.WRONG, max(f.confidence for f in wrong)
    elif needed and len(said) == len(needed):
        outcome, confidence = ItemOutcome.COMPLETE, min(f.confidence for f in said)
    elif unclear and len(said) + len(unclear) == len(needed):
        outcome, confidence = ItemOutcome.NEEDS_LISTENING, 0.5
    elif said or unclear:
        outcome, confidence = (
            ItemOutcome.INCOMPLETE,
            max(f.confidence for f in needed if f not in said),
        )
    elif named:
        outcome, confidence = ItemOutcome.NAMED_ONLY, min(1.0, named[0].confidence)
    else:
        outcome, confidence = ItemOutcome.MISSED, 0.9
    lates = [
        e.late
        for f in findings
        if f.outcome == Outcome.SAID
        for e in ledger.entries.get(f.requirement, [])
        if not e.against
    ]
    return ItemFinding(
        item=item.id,
        outcome=outcome,
        confidence=round(confidence, 3),
        named=named,
        requirements=findings,
        late=bool(lates) and any(lates) and not all(not late for late in lates) and lates[0],
    )
