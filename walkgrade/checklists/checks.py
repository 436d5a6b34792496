"""What the entries of a checklist must mean together.

Decides: references (sources, parts, places, items, profile keys), limits, wording patterns, ids
that stand twice, carry-over circles and time budgets.
Conventions: every check returns faults and raises nothing; routes name the place in the file where
the entry was written, so a fault of a shared part is reported once, in the shared file.
Public: `meaning_faults`; for files that change a checklist (`overlay`): `Known`, `known_names`,
`nearest`, `part_faults`, `place_faults`, `requirement_faults`, `item_faults`, `link_problem`,
`circle_problem`.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

from rapidfuzz import process

from walkgrade.checklists.concepts import CONCEPTS
from walkgrade.checklists.gather import Gathered
from walkgrade.checklists.marked_yaml import Marked, Route
from walkgrade.checklists.records import Comparator
from walkgrade.checklists.resolve import Resolved, resolve_items
from walkgrade.checklists.schema import (
    ItemEntry,
    LimitEntry,
    PartEntry,
    RequirementChange,
    RequirementEntry,
    SharedFile,
)
from walkgrade.errors import Fault

_WORD = r"[a-z0-9][a-z0-9'/-]*"
_SLOT = re.compile(rf"!?=?{_WORD}(?:\+=?{_WORD})*(?:\|=?{_WORD}(?:\+=?{_WORD})*)*")
_SIDES: dict[str, tuple[bool, bool]] = {
    Comparator.AT_LEAST: (True, False), Comparator.ABOVE: (True, False),
    Comparator.AT_MOST: (False, True), Comparator.BELOW: (False, True),
    Comparator.BETWEEN: (True, True),
    Comparator.ABOUT: (True, False), Comparator.EXACTLY: (True, False),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Names that entries may refer to; `whole` is False when a file could not be read."""

    sources: frozenset[str]
    parts: frozenset[str]
    places: frozenset[str]
    keys: dict[str, tuple[str, ...]]
    whole: bool
    unused: bool = False
    """True while a part is looked at that no item uses: it may name keys of other vehicles."""


def meaning_faults(gathered: Gathered) -> list[Fault]:
    """Return every fault of meaning in the usable entries of `gathered`."""
    known = known_names(gathered)
    faults = list(_twice(gathered))
    used = used_parts(gathered)
    for marked, model in gathered.files:
        if model is not None:
            faults.extend(_file(marked, model, known, used))
    resolved = resolve_items(gathered)
    for item in resolved:
        faults.extend(item_faults(item, known))
    faults.extend(_ids(resolved))
    if not gathered.dropped:
        faults.extend(_carry_over(resolved))
        faults.extend(_budget(gathered))
    return faults


def known_names(gathered: Gathered) -> Known:
    """Names that entries may refer to, counting entries that were left out for their shape."""
    found: dict[str, set[str]] = {"sources": set(), "parts": set(), "places": set()}
    keys: dict[str, tuple[str, ...]] = {}
    for marked, model in gathered.files:
        raw = marked.value if isinstance(marked.value, dict) else {}
        for name in ("sources", "parts"):
            found[name].update(raw[name] if isinstance(raw.get(name), dict) else ())
        for place in raw["places"] if isinstance(raw.get("places"), list) else ():
            if isinstance(place, dict) and isinstance(place.get("id"), str):
                found["places"].add(place["id"])
        if model is not None:
            keys.update({key: tuple(values) for key, values in model.profile_keys.items()})
    return Known(
        sources=frozenset(found["sources"]),
        parts=frozenset(found["parts"]),
        places=frozenset(found["places"]),
        keys=keys,
        whole=not gathered.unread,
    )


def nearest(word: str, known: Iterable[str]) -> str:
    """``; did you mean ...?`` for a slip, else nothing."""
    near = process.extractOne(word, sorted(known), score_cutoff=60)
    return f"; did you mean {near[0]}?" if near else ""


def used_parts(gathered: Gathered) -> frozenset[str]:
    """Parts that an item takes."""
    sections = [
        section
        for _, model in gathered.files
        for section in getattr(model, "sections", [])
        if section is not None
    ]
    return frozenset(
        item.part for section in sections for item in section.items if item and item.part
    )


def _file(marked: Marked, model: SharedFile, known: Known, used: frozenset[str]) -> Iterator[Fault]:
    for name, part in model.parts.items():
        seen = replace(known, unused=name not in used)
        yield from part_faults(marked, part, ("parts", name), seen)
    for s, section in enumerate(getattr(model, "sections", [])):
        if section is None:
            continue
        here: Route = ("sections", s)
        yield from place_faults(marked, section.place, (*here, "place"), known)
        for i, item in enumerate(section.items):
            if item is not None:
                yield from part_faults(marked, item, (*here, "items", i), known)


def part_faults(marked: Marked, part: PartEntry, here: Route, known: Known) -> Iterator[Fault]:
    """Faults of a part or item as written: references, limits, patterns."""
    yield from _sources(marked, part.basis, (*here, "basis"), known)
    yield from _rules(marked, part.if_fitted, (*here, "if_fitted"), known)
    for key, entries in (("requires", part.requires), ("optional", part.optional)):
        for r, entry in enumerate(entries or []):
            if entry is not None:
                yield from requirement_faults(marked, entry, (*here, key, r), known)
    if isinstance(part, ItemEntry):
        yield from place_faults(marked, part.place, (*here, "place"), known)
        for short, change in (part.requires_change or {}).items():
            yield from requirement_faults(marked, change, (*here, "requires_change", short), known)
        if known.whole and part.part is not None and part.part not in known.parts:
            text = f"no part {part.part!r}{nearest(part.part, known.parts)}"
            yield marked.fault((*here, "part"), text)


def place_faults(marked: Marked, place: str | None, here: Route, known: Known) -> Iterator[Fault]:
    """The fault of a place that is not there."""
    if known.whole and place is not None and place not in known.places:
        yield marked.fault(here, f"no place {place!r}{nearest(place, known.places)}")


def _sources(marked: Marked, basis: list[str] | None, here: Route, known: Known) -> Iterator[Fault]:
    for b, source in enumerate(basis or []):
        if known.whole and source not in known.sources:
            yield marked.fault((*here, b), f"no source {source!r}{nearest(source, known.sources)}")


def _rules(
    marked: Marked, rules: dict[str, list[str]] | None, here: Route, known: Known
) -> Iterator[Fault]:
    for key, values in (rules or {}).items():
        if key not in known.keys:
            if not known.whole or known.unused:
                continue
            yield marked.fault((*here, key), f"no profile key {key!r}{nearest(key, known.keys)}")
            continue
        for value in values:
            if value not in known.keys[key]:
                words = ", ".join(known.keys[key])
                yield marked.fault((*here, key), f"{value!r} is not one of: {words}")


def requirement_faults(
    marked: Marked, entry: RequirementEntry | RequirementChange, here: Route, known: Known
) -> Iterator[Fault]:
    """Faults of a requirement, or of a change of one."""
    yield from _sources(marked, entry.basis, (*here, "basis"), known)
    yield from _rules(marked, entry.if_fitted, (*here, "if_fitted"), known)
    for c, concept in enumerate(entry.concepts or []):
        if concept not in CONCEPTS:
            text = f"no concept {concept!r}{nearest(concept, CONCEPTS)}"
            yield marked.fault((*here, "concepts", c), text)
    for p, pattern in enumerate(entry.patterns or []):
        if problem := _pattern_problem(pattern):
            yield marked.fault((*here, "patterns", p), problem)
    if entry.limit is not None:
        yield from _limit(marked, entry.limit, (*here, "limit"))
    means = (entry.concepts, entry.patterns, entry.limit)
    if isinstance(entry, RequirementEntry) and not any(means):
        yield marked.fault(here, "nothing earns it; give concepts, patterns or a limit")


def _pattern_problem(pattern: str) -> str:
    slots = pattern.split()
    for slot in slots:
        if not _SLOT.fullmatch(slot):
            return f"slot {slot!r} is no pattern; write lower-case words joined by | or +"
    if all(slot.startswith("!") for slot in slots):
        return "a pattern needs a slot that must be said, not only absent ones"
    return ""


def _limit(marked: Marked, limit: LimitEntry, here: Route) -> Iterator[Fault]:
    low, high = limit.low is not None, limit.high is not None
    if (low, high) != _SIDES[limit.comparator]:
        wanted = " and ".join(
            side for side, on in zip(("low", "high"), _SIDES[limit.comparator], strict=True) if on
        )
        yield marked.fault(here, f"comparator {limit.comparator!r} takes {wanted} and no other")
    if limit.low is not None and limit.high is not None and limit.low >= limit.high:
        yield marked.fault(here, f"low {limit.low} must be below high {limit.high}")
    first, last = limit.accept
    if first > last:
        yield marked.fault((*here, "accept"), f"accept runs backwards: {first} to {last}")
        return
    for side, value in (("low", limit.low), ("high", limit.high)):
        if value is not None and not first <= value <= last:
            text = f"accept {first} to {last} leaves out the rule's own {side} {value}"
            yield marked.fault((*here, "accept"), text)


def item_faults(item: Resolved, known: Known) -> Iterator[Fault]:
    """What an item lacks once it has all that comes from its part."""
    entry = item.entry
    for key in ("title", "names", "row"):
        if getattr(entry, key) is None:
            yield item.fault((), f"missing {key}; give it here or in the part")
    if not item.blanked and not any(req.required for req in item.requirements):
        yield item.fault((), "nothing is required; give `requires` here or in the part")
    if entry.place is None:
        yield item.fault((), "missing place; give it here or in the section")
    if item.id is None:
        yield item.fault((), "missing id; give `id`, or `part` with a place")
    for req in item.requirements:
        if not req.entry.basis and not entry.basis:
            yield item.fault((), f"requirement {req.entry.id} names no source under basis")
    for key, names in (
        ("requires_change", entry.requires_change or {}), ("requires_drop", entry.requires_drop),
    ):  # fmt: skip
        for name in names or ():
            if not item.blanked and name not in item.part_requirements:
                near = nearest(name, item.part_requirements)
                yield item.fault((key,), f"the part has no requirement {name!r}{near}")


def _ids(resolved: list[Resolved]) -> Iterator[Fault]:
    seen: dict[str, Resolved] = {}
    for item in resolved:
        if item.id is not None and item.id in seen:
            line = seen[item.id].line
            yield item.fault(("id",), f"item id {item.id!r} stands twice (first on line {line})")
        elif item.id is not None:
            seen[item.id] = item
        short: set[str] = set()
        for req in item.requirements:
            if req.entry.id in short:
                yield item.fault((), f"requirement id {req.entry.id!r} stands twice in one item")
            short.add(req.entry.id)


def _twice(gathered: Gathered) -> Iterator[Fault]:
    seen: dict[tuple[str, str], str] = {}
    for marked, model in gathered.files:
        if model is None:
            continue
        routes: list[tuple[str, str, Route]] = [
            *(("source", key, ("sources", key)) for key in model.sources),
            *(("part", key, ("parts", key)) for key in model.parts),
            *(("profile key", key, ("profile_keys", key)) for key in model.profile_keys),
            *(("question for", key, ("profile_questions", key)) for key in model.profile_questions),
            *(("place", p.id, ("places", i, "id")) for i, p in enumerate(model.places) if p),
            *(
                ("section", s.id, ("sections", i, "id"))
                for i, s in enumerate(getattr(model, "sections", []))
                if s
            ),
        ]
        for kind, name, route in routes:
            where = f"{marked.file} line {marked.line(route)}"
            if (kind, name) in seen:
                text = f"{kind} {name!r} stands twice (first in {seen[kind, name]})"
                yield marked.fault(route, text)
            else:
                seen[kind, name] = where


def _carry_over(resolved: list[Resolved]) -> Iterator[Fault]:
    links = {item.id: set(item.entry.carry_over or ()) for item in resolved if item.id}
    for item in resolved:
        for target in item.entry.carry_over or ():
            if problem := link_problem(item.id, target, links):
                yield item.fault(("carry_over",), problem)
    for item in resolved:
        if item.id is not None and (problem := circle_problem(item.id, links)):
            yield item.fault(("carry_over",), problem)


def link_problem(item_id: str | None, target: str, known: Collection[str]) -> str:
    """What is wrong with a carry-over from `target`, or nothing."""
    if target == item_id:
        return f"{target} cannot carry over to itself"
    return "" if target in known else f"no item {target!r}{nearest(target, known)}"


def circle_problem(item_id: str, links: dict[str, set[str]]) -> str:
    """What is wrong with the circle of carry-overs that `item_id` stands in, or nothing."""
    circle = {other for other in _reach(links, item_id) if item_id in _reach(links, other)}
    strangers = sorted(o for o in circle - {item_id} - links[item_id])
    if not strangers:
        return ""
    return (
        f"carry-over runs in a circle through {', '.join(strangers)}, which this item does not "
        "name; items in a circle must all name each other"
    )


def _reach(links: dict[str, set[str]], start: str) -> set[str]:
    found: set[str] = set()
    todo = [start]
    while todo:
        for other in links.get(todo.pop(), set()) - found:
            found.add(other)
            todo.append(other)
    return found


def _budget(gathered: Gathered) -> Iterator[Fault]:
    checklist = gathered.checklist
    if checklist is None:
        return
    total = sum(section.budget_minutes for section in checklist.sections if section)
    if total != checklist.budget_minutes:
        text = f"the sections add up to {total} minutes, not {checklist.budget_minutes}"
        yield gathered.files[0][0].fault(("budget_minutes",), text)
