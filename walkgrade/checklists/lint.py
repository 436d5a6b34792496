"""What is allowed in a checklist but probably not meant.

Decides: which oddities are worth a word. None of them stops a checklist from loading.
Conventions: pure; notes come in checklist order, each about one item, place or profile key.
Public: `Note`, `lint`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkgrade.checklists.records import Checklist, Fitted, Item


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """An oddity; `where` is an item id, or ``places.<id>`` or ``profile_keys.<key>``."""

    where: str
    message: str


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
                if _together(item.if_fitted, other.if_fitted):
                    text = f"name {name!r} also means {other.id} at the same place"
                    yield Note(where=item.id, message=text)
            seen.setdefault((item.place, name), []).append(item)


def _together(first: tuple[Fitted, ...], second: tuple[Fitted, ...]) -> bool:
    """True when some vehicle meets all rules of both."""
    values: dict[str, set[str]] = {}
    for rule in (*first, *second):
        values[rule.key] = values.get(rule.key, set(rule.values)) & set(rule.values)
    return all(values.values())


def _item(item: Item) -> Iterator[Note]:
    if not item.why:
        yield Note(where=item.id, message="does not say why it matters (`why`)")
    twice = {n for n in item.names if [m.casefold() for m in item.names].count(n.casefold()) > 1}
    if twice:
        yield Note(where=item.id, message=f"names stand twice: {', '.join(sorted(twice))}")
    reachable = [r for r in item.requirements if _together(item.if_fitted, r.if_fitted)]
    if not any(r.required for r in reachable):
        yield Note(where=item.id, message="no vehicle can ever be asked for it")
    for requirement in item.requirements:
        if requirement not in reachable:
            short = requirement.id.removeprefix(f"{item.id}.")
            yield Note(where=item.id, message=f"no vehicle can ever meet requirement {short!r}")


def _unused(checklist: Checklist) -> Iterator[Note]:
    used_places = {item.place for item in checklist.items}
    for place in checklist.places:
        if place.id not in used_places:
            yield Note(where=f"places.{place.id}", message="no item stands here")
        elif not place.cues:
            yield Note(where=f"places.{place.id}", message="nothing says that one is here (`cues`)")
    rules = {
        rule.key
        for item in checklist.items
        for rule in (*item.if_fitted, *(r for q in item.requirements for r in q.if_fitted))
    }
    for rule in checklist.profile_keys:
        if rule.key not in rules:
            yield Note(where=f"profile_keys.{rule.key}", message="switches nothing on or off")
