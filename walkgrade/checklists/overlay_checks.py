"""What the entries of an overlay must mean against the checklist they change.

Decides: references (items, requirements, sections, sources, places, profile keys), minutes, and
that something is left to ask.
Conventions: every check returns faults of the overlay's own file and raises nothing.
Public: `Ground`, `overlay_faults`, `added_items`, `changes_what_is_asked`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from walkgrade.checklists.checks import (
    Known,
    circle_problem,
    item_faults,
    link_problem,
    nearest,
    part_faults,
    place_faults,
    requirement_faults,
)
from walkgrade.checklists.marked_yaml import Marked, Route
from walkgrade.checklists.overlay_schema import OverlayFile, RequirementOverlay, without_place_keys
from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.checklists.resolve import Resolved, resolve_item
from walkgrade.checklists.schema import PartEntry, SectionEntry, SourceEntry
from walkgrade.errors import Fault

_ASKS = {"concepts", "patterns", "about", "limit", "required", "if_fitted"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """A loaded checklist with what an overlay may still draw on: parts, sources, sections as
    written (their default place), all by id."""

    checklist: Checklist
    parts: dict[str, PartEntry]
    sources: dict[str, SourceEntry]
    sections: dict[str, SectionEntry]


def added_items(marked: Marked, entry: OverlayFile, ground: Ground) -> list[Resolved]:
    """The new items with all that comes from their parts; those of unknown part are skipped."""
    parts = {**ground.parts, **entry.parts}
    resolved = [
        resolve_item(
            without_place_keys(item), ground.sections[item.section], parts, marked, ("add", n)
        )
        for n, item in enumerate(entry.add)
        if item.section in ground.sections and (item.part is None or item.part in parts)
    ]
    own = {"basis": entry.basis}
    return [
        one if one.entry.basis else replace(one, entry=one.entry.model_copy(update=own))
        for one in resolved
    ]


def overlay_faults(marked: Marked, entry: OverlayFile, ground: Ground) -> list[Fault]:
    """Every fault of meaning in an overlay of good shape."""
    known = _known(entry, ground)
    faults = [
        *_names(marked, entry, ground, known),
        *_added(marked, entry, ground, known),
        *_changes(marked, entry, ground, known),
        *_points(marked, entry, ground),
    ]
    return faults or [*_links(marked, entry, ground), *_left(marked, entry, ground)]


def _known(entry: OverlayFile, ground: Ground) -> Known:
    keys = {rule.key: rule.values for rule in ground.checklist.profile_keys}
    keys.update({key: tuple(values) for key, values in entry.profile_keys.items()})
    return Known(
        sources=frozenset(ground.sources) | frozenset(entry.sources),
        parts=frozenset(ground.parts) | frozenset(entry.parts),
        places=frozenset(place.id for place in ground.checklist.places)
        | frozenset(place.id for place in entry.places),
        keys=keys,
        whole=True,
    )


def _names(marked: Marked, entry: OverlayFile, ground: Ground, known: Known) -> Iterator[Fault]:
    """Sources, sections and minutes of the file itself, and names that the base has already."""
    for n, source in enumerate(entry.basis):
        if source not in known.sources:
            yield marked.fault(
                ("basis", n), f"no source {source!r}{nearest(source, known.sources)}"
            )
    taken: tuple[tuple[str, Iterable[tuple[str, Route]], Iterable[str]], ...] = (
        ("source", [(k, ("sources", k)) for k in entry.sources], ground.sources),
        ("part", [(k, ("parts", k)) for k in entry.parts], ground.parts),
        (
            "place",
            [(p.id, ("places", n, "id")) for n, p in enumerate(entry.places)],
            {place.id for place in ground.checklist.places},
        ),
    )
    for what, named, there in taken:
        seen = set(there)
        for name, route in named:
            if name in seen:
                yield marked.fault(route, f"{what} {name!r} is there already; take another name")
            seen.add(name)
    budgets = {section.id: section.budget_s for section in ground.checklist.sections}
    for name in entry.section_minutes:
        if name not in budgets:
            text = f"no section {name!r}{nearest(name, budgets)}"
            yield marked.fault(("section_minutes", name), text)
    if entry.section_minutes and entry.budget_minutes is not None:
        budgets.update({k: round(v * 60) for k, v in entry.section_minutes.items() if k in budgets})
        if sum(budgets.values()) != round(entry.budget_minutes * 60):
            text = (
                f"the sections add up to {sum(budgets.values()) / 60:g} minutes, not "
                f"{entry.budget_minutes}; leave budget_minutes or section_minutes out"
            )
            yield marked.fault(("budget_minutes",), text)


def _added(marked: Marked, entry: OverlayFile, ground: Ground, known: Known) -> Iterator[Fault]:
    for name, part in entry.parts.items():
        yield from part_faults(marked, part, ("parts", name), known)
    there = {item.id: item.section for item in ground.checklist.items}
    for n, item in enumerate(entry.add):
        yield from part_faults(marked, item, ("add", n), known)
        if item.section not in ground.sections:
            text = f"no section {item.section!r}{nearest(item.section, ground.sections)}"
            yield marked.fault(("add", n, "section"), text)
    for resolved in added_items(marked, entry, ground):
        yield from item_faults(resolved, known)
        after = entry.add[int(resolved.route[1])].after
        if after is not None and there.get(after) != resolved.section.id:
            inside = [one for one, section in there.items() if section == resolved.section.id]
            text = f"section {resolved.section.id} has no item {after!r}{nearest(after, inside)}"
            yield resolved.fault(("after",), text)
        if resolved.id is not None and resolved.id in there:
            yield resolved.fault(("id",), f"item id {resolved.id!r} is there already")
        elif resolved.id is not None:
            there[resolved.id] = resolved.section.id
        short = [asked.entry.id for asked in resolved.requirements]
        for name in {name for name in short if short.count(name) > 1}:
            yield resolved.fault((), f"requirement id {name!r} stands twice in one item")


def _changes(marked: Marked, entry: OverlayFile, ground: Ground, known: Known) -> Iterator[Fault]:
    items = {item.id: item for item in ground.checklist.items}
    requirements = {req.id: req for item in items.values() for req in item.requirements}
    for name, change in entry.requirements.items():
        here: Route = ("requirements", name)
        if name not in requirements:
            yield marked.fault(here, f"no requirement {name!r}{nearest(name, requirements)}")
        if not change.model_fields_set:
            yield marked.fault(here, "changes nothing; give a key, or leave it out")
        yield from requirement_faults(marked, change, here, known)
    for name, other in entry.items.items():
        here = ("items", name)
        if name not in items:
            yield marked.fault(here, f"no item {name!r}{nearest(name, items)}")
        if not other.model_fields_set:
            yield marked.fault(here, "changes nothing; give a key, or leave it out")
        yield from place_faults(marked, other.place, (*here, "place"), known)
        rules = RequirementOverlay.model_construct(if_fitted=other.if_fitted)
        yield from requirement_faults(marked, rules, here, known)
        there = {req.id.removeprefix(f"{name}.") for req in _of(items.get(name))}
        for key in ("requires_add", "optional_add"):
            for n, new in enumerate(getattr(other, key) or ()):
                yield from requirement_faults(marked, new, (*here, key, n), known)
                if new.id in there:
                    text = f"requirement id {new.id!r} is there already"
                    yield marked.fault((*here, key, n, "id"), text)
                there.add(new.id)
    seen: set[str] = set()
    for n, name in enumerate(entry.drop):
        here = ("drop", n)
        if name not in items and name not in requirements:
            near = nearest(name, [*items, *requirements])
            yield marked.fault(here, f"no item or requirement {name!r}{near}")
        elif name in entry.items or name in entry.requirements:
            yield marked.fault(here, f"{name!r} is both changed and dropped; do one of them")
        elif name in seen:
            yield marked.fault(here, f"{name!r} stands twice")
        seen.add(name)


def _of(item: Item | None) -> tuple[Requirement, ...]:
    return item.requirements if item is not None else ()


def _points(marked: Marked, entry: OverlayFile, ground: Ground) -> Iterator[Fault]:
    left = {item.id for item in ground.checklist.items} - set(entry.drop)
    left |= {item.id for item in added_items(marked, entry, ground) if item.id}
    for name in entry.points.items if entry.points else ():
        if name not in left:
            text = f"no item {name!r} is left to give points for{nearest(name, left)}"
            yield marked.fault(("points", "items", name), text)


def _links(marked: Marked, entry: OverlayFile, ground: Ground) -> Iterator[Fault]:
    """Carry-over that this file writes; a link to a dropped item goes without a word."""
    links = {item.id: set(item.carry_over) for item in ground.checklist.items}
    written: dict[str, tuple[list[str], Route]] = {
        name: (change.carry_over, ("items", name, "carry_over"))
        for name, change in entry.items.items()
        if change.carry_over is not None
    }
    for item in added_items(marked, entry, ground):
        if item.id is not None:
            links[item.id] = set()
            written[item.id] = (item.entry.carry_over or [], (*item.route, "carry_over"))
    for name in entry.drop:
        links.pop(name, None)
    for name, (targets, route) in written.items():
        links[name] = set(targets)
        for target in targets:
            if problem := link_problem(name, target, links):
                yield marked.fault(route, problem)
    for name, (_, route) in written.items():
        if problem := circle_problem(name, links):
            yield marked.fault(route, problem)


def _left(marked: Marked, entry: OverlayFile, ground: Ground) -> Iterator[Fault]:
    """Every item keeps something to ask, and the checklist keeps an item."""
    dropped = set(entry.drop)
    left = len(entry.add)
    for item in ground.checklist.items:
        if item.id in dropped:
            continue
        left += 1
        change_of_item = entry.items.get(item.id)
        asked = bool(change_of_item and change_of_item.requires_add)
        for req in item.requirements:
            change = entry.requirements.get(req.id)
            required = (
                req.required if change is None or change.required is None else change.required
            )
            asked |= required and req.id not in dropped
        if not asked:
            text = f"nothing is left to ask of {item.id}; drop the item itself, or keep something"
            yield marked.fault(_where(entry, item.id), text)
    if not left:
        yield marked.fault(("drop",), "no item is left")


def _where(entry: OverlayFile, item_id: str) -> Route:
    """The first entry that takes something from `item_id`."""
    for n, name in enumerate(entry.drop):
        if name.startswith(f"{item_id}."):
            return ("drop", n)
    return next(
        (("requirements", name) for name in entry.requirements if name.startswith(f"{item_id}.")),
        (),
    )


def changes_what_is_asked(change: RequirementOverlay) -> bool:
    """True when more than wording or row is other than in the base."""
    return bool(change.model_fields_set & _ASKS)
