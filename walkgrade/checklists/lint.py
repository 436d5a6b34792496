"""What is allowed in a checklist but probably not meant.

Decides: which oddities are worth a word. None of them stops a checklist from loading.
Conventions: pure; notes come in checklist order, each about one item, place or profile key.
`advice` explains every kind of note.
Public: `Oddity`, `Note`, `lint`, `together`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from walkgrade.checklists.records import Checklist, Fitted, Item


class Oddity(StrEnum):
    """What kind of note."""

    SHARED_NAME = "shared name"
    NO_WHY = "no reason given"
    NAME_TWICE = "name twice"
    ITEM_OF_NO_VEHICLE = "item of no vehicle"
    LINE_OF_NO_VEHICLE = "line of no vehicle"
    EMPTY_PLACE = "empty place"
    SILENT_PLACE = "place without words"
    IDLE_KEY = "key without use"
    SOUNDS_ALIKE = "sounds alike"
    SHARED_CUE = "shared place word"
    NO_PUBLISHED_SOURCE = "no published source"
    ODD_CONDITION = "odd condition"
    EARNED_TOGETHER = "earned together"


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """An oddity; `where` is an item id, or ``places.<id>`` or ``profile_keys.<key>``."""

    where: str
    message: str
    kind: Oddity


def lint(checklist: Checklist) -> tuple[Note, ...]:
    """Return the notes on a checklist that loads: ambiguous names, unreachable items, and more."""
    return (
        *_shared_names(checklist),
        *(note for item in checklist.items for note in _item(item)),
        *_unused(checklist),
    )


def _shared_names(checklist: Checklist) -> Iterator[Note]:
    seen: dict[tuple[str, str], list[Item]] = {}
    for item in checklist.items:
        for name in dict.fromkeys(name.casefold() for name in item.names):
            for other in seen.get((item.place, name), []):
                if together(item.if_fitted, other.if_fitted):
                    text = f"name {name!r} also means {other.id} at the same place"
                    yield Note(where=item.id, message=text, kind=Oddity.SHARED_NAME)
            seen.setdefault((item.place, name), []).append(item)


def together(first: tuple[Fitted, ...], second: tuple[Fitted, ...]) -> bool:
    """True when some vehicle meets all rules of both."""
    values: dict[str, set[str]] = {}
    for rule in (*first, *second):
        values[rule.key] = values.get(rule.key, set(rule.values)) & set(rule.values)
    return all(values.values())


def _item(item: Item) -> Iterator[Note]:
    def note(kind: Oddity, message: str) -> Note:
        return Note(where=item.id, message=message, kind=kind)

    if not item.why:
        yield note(Oddity.NO_WHY, "does not say why it matters (`why`)")
    twice = {n for n in item.names if [m.casefold() for m in item.names].count(n.casefold()) > 1}
    if twice:
        yield note(Oddity.NAME_TWICE, f"names stand twice: {', '.join(sorted(twice))}")
    reachable = [r for r in item.requirements if together(item.if_fitted, r.if_fitted)]
    if not any(r.required for r in reachable):
        yield note(Oddity.ITEM_OF_NO_VEHICLE, "no vehicle can ever be asked for it")
    for requirement in item.requirements:
        if requirement not in reachable:
            short = requirement.id.removeprefix(f"{item.id}.")
            yield note(Oddity.LINE_OF_NO_VEHICLE, f"no vehicle can ever meet requirement {short!r}")


def _unused(checklist: Checklist) -> Iterator[Note]:
    used_places = {item.place for item in checklist.items}
    for place in checklist.places:
        where = f"places.{place.id}"
        if place.id not in used_places:
            yield Note(where=where, message="no item stands here", kind=Oddity.EMPTY_PLACE)
        elif not place.cues:
            text = "nothing says that one is here (`cues`)"
            yield Note(where=where, message=text, kind=Oddity.SILENT_PLACE)
    rules = {
        rule.key
        for item in checklist.items
        for rule in (*item.if_fitted, *(r for q in item.requirements for r in q.if_fitted))
    }
    for rule in checklist.profile_keys:
        if rule.key not in rules:
            where = f"profile_keys.{rule.key}"
            text = f"{rule.key} switches nothing on or off"
            yield Note(where=where, message=text, kind=Oddity.IDLE_KEY)
