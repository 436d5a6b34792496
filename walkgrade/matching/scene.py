"""The checklist as matching looks at it: items by id, by place, by what they may be told.

Decides: nothing; an index built once per checklist.
Conventions: a `Zone` is one section at one place, in walking order; indexes are 0-based.
Public: `Scene`, `Zone`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.language.records import Drive
from walkgrade.language.words import stem

_TELLING = frozenset(
    (
        "stands_level", "warns", "lamp_out", "alternates", "breakers", "extends", "holds",
        "inflated", "no_retread", "by_gauge", "centred", "thick", "not_belt", "even_wear",
        "straight", "no_weld",
    )
)  # fmt: skip
_RARE = 2  # items that may ask for a condition for it to tell the part by itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """One section of the test at one place."""

    section: str
    place: str


class Scene:
    """Look-ups over an applicable checklist (already fitted to the vehicle)."""

    def __init__(self, checklist: Checklist) -> None:
        self.checklist = checklist
        self.items: dict[str, Item] = {item.id: item for item in checklist.items}
        self.rank = {item.id: rank for rank, item in enumerate(checklist.items)}
        self.zones = tuple(
            dict.fromkeys(Zone(section=i.section, place=i.place) for i in checklist.items)
        )
        number = {zone: index for index, zone in enumerate(self.zones)}
        self.zone_of = {
            item.id: number[Zone(section=item.section, place=item.place)]
            for item in checklist.items
        }
        self.owner: dict[str, Item] = {}
        self.requirement: dict[str, Requirement] = {}
        for item in checklist.items:
            for requirement in item.requirements:
                self.owner[requirement.id] = item
                self.requirement[requirement.id] = requirement
        askers: dict[str, dict[str, None]] = {}
        for requirement in self.requirement.values():
            for concept in requirement.concepts:
                if requirement.required and len(requirement.concepts) <= 3:
                    askers.setdefault(concept, {})[self.owner[requirement.id].id] = None
        self._askers = {concept: tuple(items) for concept, items in askers.items()}
        self._drive = _drives(checklist)
        self.procedures = frozenset(s.id for s in checklist.sections if s.procedure)
        self._norms: dict[str, frozenset[Fraction]] = {}
        for requirement in self.requirement.values():
            if (limit := requirement.limit) is not None:
                own = (limit.accept_low, limit.accept_high, limit.low, limit.high)
                known = self._norms.get(limit.quantity, frozenset())
                self._norms[limit.quantity] = known.union(n for n in own if n is not None)

    def rare(self, concept: str, chance: NDArray[np.float64]) -> tuple[list[str], float]:
        """The item a telling condition belongs to when no part was named with it.

        Only conditions that hardly any item asks for ("stands level", "buzzer sounds") tell; of
        those items the one whose zone is likeliest, and how surely (0..1).
        """
        items = self._askers.get(concept, ()) if concept in _TELLING else ()
        if not 0 < len(items) <= _RARE:
            return [], 0.0
        likely = {item: float(chance[self.zone_of[item]]) for item in items}
        best = max(items, key=lambda item: (likely[item], -self.rank[item]))
        if likely[best] < 0.02:
            return [], 0.0
        return [best], 0.6 + 0.3 * min(1.0, likely[best] * 2)

    def drive(self, item_id: str) -> Drive | None:
        """What turns an item on this vehicle; None where the vehicle profile does not say."""
        return self._drive.get(item_id)

    def norms(self, quantity: str) -> frozenset[Fraction]:
        """Every value that a limit of this quantity names, at any place."""
        return self._norms.get(quantity, frozenset())

    def limits(self, item_id: str) -> tuple[Requirement, ...]:
        """Requirements of an item that a number can meet."""
        return tuple(r for r in self.items[item_id].requirements if r.limit is not None)

    def hears(
        self, item_id: str, concept: str, about: frozenset[str]
    ) -> tuple[tuple[Requirement, float], ...]:
        """Requirements of an item that `concept` speaks to, with how directly (0..1).

        `about` holds the stems of sub-part words near the condition: a requirement about a sub-part
        wants its word, yet a condition said of the whole item reaches it when nothing else does.
        """
        fitting = [r for r in self.items[item_id].requirements if concept in r.concepts]
        if not fitting:
            return ()
        near = [r for r in fitting if r.about and about & _stems(r.about)]
        if near:
            return tuple((r, 1.0) for r in near)
        plain = [r for r in fitting if not r.about]
        if plain:
            return tuple((r, 1.0) for r in plain)
        return tuple((r, 0.8) for r in fitting) if not about else tuple((r, 0.6) for r in fitting)


def _drives(checklist: Checklist) -> dict[str, Drive]:
    """Item id -> its drive, from the rules under which its requirements apply to the vehicle.

    The keys that tell a drive are those a profile may answer with ``belt`` and with ``gear``;
    without one, an item that must be told to have no belt has none.
    """
    keys = {rule.key for rule in checklist.profile_keys if set(Drive) <= set(rule.values)}
    found: dict[str, Drive] = {}
    for item in checklist.items:
        rules = [*item.if_fitted, *(rule for r in item.requirements for rule in r.if_fitted)]
        for rule in rules:
            met = [drive for drive in Drive if drive in rule.values]
            if rule.key in keys and len(met) == 1:
                found[item.id] = met[0]
        if any("not_belt" in r.concepts for r in item.requirements):
            found.setdefault(item.id, Drive.GEAR)
    return found


def _stems(words: tuple[str, ...]) -> frozenset[str]:
    return frozenset(stem(piece) for word in words for piece in word.replace("-", " ").split())
