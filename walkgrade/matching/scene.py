"""The checklist as matching looks at it: items by id, by place, by what they may be told.

Decides: nothing; an index built once per checklist.
Conventions: a `Zone` is one section at one place, in walking order; indexes are 0-based.
Public: `Scene`, `Zone`.
"""

from __future__ import annotations

from dataclasses import dataclass

from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.language.words import stem


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
        self.procedures = frozenset(s.id for s in checklist.sections if s.procedure)

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


def _stems(words: tuple[str, ...]) -> frozenset[str]:
    return frozenset(stem(piece) for word in words for piece in word.replace("-", " ").split())
