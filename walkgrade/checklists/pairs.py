"""Which items and requirements of two versions of a checklist are the same.

Decides: the same id is the same thing; of the rest, an item at the same place with the same title,
names or lines, then one with the same title or lines at another place; a requirement with the same
line, the same conditions and sub-part, or a number of the same quantity.
Conventions: pure; every item and requirement is paired once, in the order of the old version.
Public: `item_pairs`, `requirement_pairs`.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import TypeVar

from walkgrade.checklists.records import Checklist, Item, Requirement

Thing = TypeVar("Thing", Item, Requirement)
Key = Callable[[Thing], Hashable]


def item_pairs(old: Checklist, new: Checklist) -> list[tuple[Item | None, Item | None]]:
    """Old and new items side by side; None where an item has no counterpart."""
    return _pairs(
        old.items,
        new.items,
        (
            lambda item: item.id,
            lambda item: (item.place, item.title.casefold()),
            lambda item: (item.place, item.names),
            lambda item: (item.place, _lines(item)),
            lambda item: (item.title.casefold(), _lines(item)),
            lambda item: (item.names, _lines(item)),
        ),
    )


def requirement_pairs(old: Item, new: Item) -> list[tuple[Requirement | None, Requirement | None]]:
    """The same for what is to be said of one item."""

    def short(one: Requirement) -> str:
        owner = old if one in old.requirements else new
        return one.id.removeprefix(f"{owner.id}.")

    return _pairs(
        old.requirements,
        new.requirements,
        (
            short,
            lambda one: one.says.casefold(),
            lambda one: (one.concepts, one.about) if one.concepts else one.id,
            lambda one: one.limit.quantity if one.limit else one.id,
        ),
    )


def _lines(item: Item) -> frozenset[str]:
    return frozenset(one.says.casefold() for one in item.requirements)


def _pairs(
    old: Iterable[Thing], new: Iterable[Thing], keys: tuple[Key[Thing], ...]
) -> list[tuple[Thing | None, Thing | None]]:
    left, right = list(old), list(new)
    found: dict[int, int] = {}
    for key in keys:
        taken = set(found.values())
        open_right: dict[Hashable, list[int]] = {}
        for n, thing in enumerate(right):
            if n not in taken:
                open_right.setdefault(key(thing), []).append(n)
        for n, thing in enumerate(left):
            if n not in found and (places := open_right.get(key(thing))):
                found[n] = places.pop(0)
    pairs: list[tuple[Thing | None, Thing | None]] = [
        (thing, right[found[n]] if n in found else None) for n, thing in enumerate(left)
    ]
    taken = set(found.values())
    pairs += [(None, thing) for n, thing in enumerate(right) if n not in taken]
    return pairs
