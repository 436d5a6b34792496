"""What the rules' evidence for one requirement comes to.

Decides: the outcome of a requirement from its entries alone.
Conventions: the last settled statement counts: a correct one repairs an earlier wrong one, a
defect stated later stands. Thresholds are in `Bar`.
Public: `Bar`, `Ruling`, `rule`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from walkgrade.matching.credits import Entry
from walkgrade.matching.records import Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """Confidence from which evidence counts as said, and from which it is worth a listen."""

    said: float = 0.5
    unclear: float = 0.3
    against: float = 0.55


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruling:
    """An outcome, how sure it is, and the entries to show for it, strongest first."""

    outcome: Outcome
    confidence: float
    shown: tuple[Entry, ...]


def rule(entries: Sequence[Entry], bar: Bar) -> Ruling:
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
        strongest = max(e.evidence.confidence for e in stands)
        return _ruling(Outcome.CONTRADICTED, strongest, stands)
    if sure >= bar.said and support:
        return _ruling(Outcome.SAID, sure, support)
    if sure >= bar.unclear:
        return _ruling(Outcome.UNCLEAR, sure, support)
    return _ruling(Outcome.NOT_SAID, 1.0 - sure, support)


def _ruling(outcome: Outcome, confidence: float, shown: Sequence[Entry]) -> Ruling:
    ordered = sorted(shown, key=lambda e: (-e.evidence.confidence, e.evidence.start))[:3]
    return Ruling(outcome=outcome, confidence=confidence, shown=tuple(ordered))
