"""One utterance at its place in the talk: what every rule of hearing is handed.

Decides: nothing; a bundle of what is fixed while one utterance is heard.
Conventions: `at` is the utterance's row in `walk`; `ledger` and `focus` are the only things that
change, and only the rules of this room change them.
Public: `Moment`.
"""

from __future__ import annotations

from dataclasses import dataclass

from walkgrade.language.records import NumberMention, Utterance
from walkgrade.matching.credits import Entry, Ledger
from walkgrade.matching.focus import Focus
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.records import Evidence
from walkgrade.matching.scene import Scene
from walkgrade.matching.zones import Walk


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """The utterance being heard, where the trainee is, what is known so far, and the numbers of the
    trainee's next utterance (`coming`)."""

    utterance: Utterance
    at: int
    scene: Scene
    walk: Walk
    ledger: Ledger
    focus: Focus
    late: bool = False
    opinions: Opinions | None = None
    coming: tuple[NumberMention, ...] = ()

    def speaks_to(self, mention: int) -> dict[str, float]:
        """Requirement id -> how likely the utterance's number speaks to its limit, by the run
        reader; empty without one."""
        if self.opinions is None:
            return {}
        return self.opinions.of_number(self.at, mention, self.scene, self.walk.near)

    @property
    def nearby(self) -> tuple[str, str]:
        """The ids of this utterance and of the one before; utterances are numbered from u1."""
        return self.utterance.id, f"u{self.at}"

    @property
    def place(self) -> str:
        """Place id of the likeliest zone."""
        return self.scene.zones[int(self.walk.path[self.at])].place

    def chance(self, item: str) -> float:
        """Probability of being in the item's zone (section and place)."""
        return float(self.walk.chance[self.at, self.scene.zone_of[item]])

    def near(self, item: str) -> float:
        """Probability of being at the item's place."""
        return float(self.walk.near[self.at, self.scene.zone_of[item]])

    def credit(
        self,
        requirement: str,
        evidence: Evidence,
        reason: str,
        *,
        against: bool = False,
        carried_from: str = "",
        opinion: bool = False,
        clash: bool = False,
    ) -> None:
        """Enter evidence for (or against) a requirement."""
        entry = Entry(
            requirement=requirement,
            evidence=evidence,
            against=against,
            reason=reason,
            carried_from=carried_from,
            late=self.late,
            opinion=opinion,
            clash=clash,
        )
        self.ledger.credit(entry, self.scene.owner[requirement].id)
