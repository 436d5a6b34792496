"""Items with everything they take from their part and section.

Decides: which key wins (item over part, part over the part it is like; section only for the place)
and how single requirements of a part are changed, dropped, added or kept.
Conventions: entries stay pydantic models here; `build` makes records of them.
Public: `Resolved`, `Asked`, `resolve_items`, `whole_parts`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from walkgrade.checklists.gather import Gathered
from walkgrade.checklists.marked_yaml import Marked, Route
from walkgrade.checklists.schema import (
    ItemEntry,
    PartEntry,
    RequirementChange,
    RequirementEntry,
    SectionEntry,
    SharedPart,
    VariedEntry,
)
from walkgrade.errors import Fault

_FROM_PART = (
    "row", "title", "names", "why", "caution", "carry_over", "if_fitted", "critical", "basis",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A requirement of a resolved item."""

    entry: RequirementEntry
    required: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Resolved:
    """An item with its part's keys merged in, and where it stands.

    `blanked` is True when one of its requirements was left out for its shape.
    """

    id: str | None
    section: SectionEntry
    entry: ItemEntry
    requirements: tuple[Asked, ...]
    part_requirements: frozenset[str]
    blanked: bool
    marked: Marked
    route: Route

    @property
    def line(self) -> int:
        """Line where the item is written."""
        return self.marked.line(self.route)

    def fault(self, route: Route, message: str) -> Fault:
        """A fault at `route` below this item."""
        return self.marked.fault((*self.route, *route), message)


def resolve_items(gathered: Gathered) -> list[Resolved]:
    """Return the items of the checklist in order; entries left out for their shape are skipped."""
    checklist = gathered.checklist
    if checklist is None:
        return []
    parts = whole_parts(gathered)
    marked = gathered.files[0][0]
    return [
        resolve_item(item, section, parts, marked, ("sections", s, "items", i))
        for s, section in enumerate(checklist.sections)
        if section is not None
        for i, item in enumerate(section.items)
        if item is not None and (item.part is None or item.part in parts)
    ]


def whole_parts(gathered: Gathered) -> dict[str, PartEntry]:
    """Return every part by its id, with what it takes from the part that it is `like`.

    A part whose `like` leads nowhere or in a circle takes nothing from there.
    """
    written: dict[str, SharedPart] = {}
    for _, model in gathered.files:
        if model is not None:
            written.update(model.parts)
    return {name: _whole(name, written, frozenset()) for name in written}


def _whole(name: str, written: dict[str, SharedPart], above: frozenset[str]) -> PartEntry:
    part = written[name]
    if part.like is None or part.like not in written or part.like in above | {name}:
        return part
    base = _whole(part.like, written, above | {name})
    asked = {
        key: [one.entry for one in _asked(part, base, required=key == "requires")]
        for key in ("requires", "optional")
    }
    return part.model_copy(update={**_taken(part, base), **asked})


def _taken(entry: VariedEntry, part: PartEntry) -> dict[str, Any]:
    """Keys that `entry` leaves out, from its part; names with those added."""
    taken = {key: getattr(part, key) for key in _FROM_PART if getattr(entry, key) is None}
    names = entry.names if entry.names is not None else part.names
    if names is not None:
        taken["names"] = [*names, *(entry.names_add or [])]
    return taken


def resolve_item(
    item: ItemEntry,
    section: SectionEntry,
    parts: dict[str, PartEntry],
    marked: Marked,
    route: Route,
) -> Resolved:
    """Merge `item` with its part; `part` must be known."""
    part = parts[item.part] if item.part is not None else PartEntry()
    taken = {**_taken(item, part), "place": item.place or section.place}
    default_id = f"{taken['place']}.{item.part}" if item.part and taken["place"] else None
    return Resolved(
        id=item.id or default_id,
        section=section,
        entry=item.model_copy(update=taken),
        requirements=(*_asked(item, part, required=True), *_asked(item, part, required=False)),
        part_requirements=frozenset(
            req.id for req in (*(part.requires or ()), *(part.optional or ())) if req
        ),
        blanked=any(
            None in (entries or ())
            for entry in (item, part)
            for entries in (entry.requires, entry.optional)
        )
        or None in (*(item.requires_add or ()), *(item.optional_add or ())),
        marked=marked,
        route=route,
    )


def _asked(item: VariedEntry, part: PartEntry, *, required: bool) -> tuple[Asked, ...]:
    own = item.requires if required else item.optional
    added = [e for e in (item.requires_add if required else item.optional_add) or () if e]
    if own is not None:
        return tuple(Asked(entry=e, required=required) for e in (*own, *added) if e)
    changes, dropped = item.requires_change or {}, item.requires_drop or ()
    kept = [
        _changed(entry, changes.get(entry.id))
        for entry in (part.requires if required else part.optional) or ()
        if entry and entry.id not in dropped
    ]
    return tuple(Asked(entry=entry, required=required) for entry in (*kept, *added))


def _changed(entry: RequirementEntry, change: RequirementChange | None) -> RequirementEntry:
    if change is None:
        return entry
    given = {key: getattr(change, key) for key in change.model_fields_set}
    return entry.model_copy(update=given)
