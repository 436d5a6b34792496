"""The ledger of what was earned: every credit, contradiction and naming, in spoken order.

Decides: nothing; it only keeps entries with their reasons.
Conventions: entries are in the order spoken; confidence in 0..1.
Public: `Ledger`, `Entry`, `evidence_of`.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from walkgrade.language.records import Utterance
from walkgrade.matching.records import Evidence, NumberFinding, Remark


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One piece of evidence for (or, when `against`, contradicting) a requirement.

    `opinion`: it is the run reader's, not a rule's. `clash`: it is `against` because it tells of
    something else than the vehicle has.
    """

    requirement: str
    evidence: Evidence
    against: bool = False
    reason: str = ""
    carried_from: str = ""
    late: bool = False
    opinion: bool = False
    clash: bool = False


class Pressure(NamedTuple):
    """A pressure read off the gauge: its value in psi, its utterance and its words."""

    value: Fraction
    utterance: str
    said: str


@dataclass(slots=True)
class Ledger:
    """Entries by requirement, namings by item, numbers and remarks, filled while listening."""

    entries: dict[str, list[Entry]] = field(default_factory=lambda: defaultdict(list))
    named: dict[str, list[Evidence]] = field(default_factory=lambda: defaultdict(list))
    carried: dict[str, str] = field(default_factory=dict)
    numbers: list[NumberFinding] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    pressure: Pressure | None = None  # read before a loss was watched
    touched: dict[str, dict[str, None]] = field(default_factory=lambda: defaultdict(dict))

    def credit(self, entry: Entry, item: str) -> None:
        """Add evidence for a requirement of `item`."""
        self.entries[entry.requirement].append(entry)
        self.touched[entry.evidence.utterance][item] = None

    def drop_opinions(self, requirement: str, utterance: str = "") -> None:
        """Take out the run reader's entries for a requirement: those so far, or one utterance's."""
        if requirement in self.entries:
            self.entries[requirement] = [
                e
                for e in self.entries[requirement]
                if not e.opinion or (utterance and e.evidence.utterance != utterance)
            ]

    def name(self, item: str, evidence: Evidence) -> None:
        """Note that an item was named."""
        self.named[item].append(evidence)
        self.touched[evidence.utterance][item] = None

    def earned(self, requirement: str, least: float = 0.5) -> bool:
        """True when the requirement stands earned so far."""
        entries = self.entries.get(requirement, [])
        return (
            bool(entries)
            and not entries[-1].against
            and max((e.evidence.confidence for e in entries if not e.against), default=0.0) >= least
        )


def evidence_of(utterance: Utterance, first: int, last: int, confidence: float) -> Evidence:
    """Evidence from tokens [first, last) of an utterance; its words' own probability counts."""
    tokens = utterance.tokens[first:last]
    heard = sum(token.prob for token in tokens) / max(1, len(tokens))
    sure = min(1.0, 0.6 + 0.5 * heard)
    return Evidence(
        utterance=utterance.id,
        quote=utterance.quote(first, last),
        start=tokens[0].start if tokens else utterance.start,
        end=tokens[-1].end if tokens else utterance.end,
        confidence=round(max(0.0, min(1.0, confidence * sure)), 4),
    )
