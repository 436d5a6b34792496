"""What an entry may change of the part it takes after.

Decides: that a part's `like` leads to another part and in no circle, that changed and dropped
requirements are there, and that added ones are sound.
Conventions: as in `checks`: every fault is returned, at the place where the entry was written.
Public: `alike_faults`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from walkgrade.checklists.checks import (
    Known,
    known_names,
    nearest,
    requirement_faults,
    used_parts,
)
from walkgrade.checklists.gather import Gathered
from walkgrade.checklists.marked_yaml import Marked, Route
from walkgrade.checklists.resolve import whole_parts
from walkgrade.checklists.schema import PartEntry, SharedPart, VariedEntry
from walkgrade.errors import Fault


def alike_faults(gathered: Gathered) -> list[Fault]:
    """Return the faults of everything that is added to a part or changed in one."""
    known, used = known_names(gathered), used_parts(gathered)
    written = {
        name: part
        for _, model in gathered.files
        if model is not None
        for name, part in model.parts.items()
    }
    whole = whole_parts(gathered)
    faults: list[Fault] = []
    for marked, model in gathered.files:
        if model is None:
            continue
        for name, part in model.parts.items():
            here: Route = ("parts", name)
            seen = replace(known, unused=name not in used)
            faults.extend(_added(marked, part, here, seen))
            faults.extend(_changed(marked, part, here, seen))
            faults.extend(_like(marked, part, here, known, written, whole))
            if part.like is not None and name in used:
                faults.extend(_inherited(marked, whole[name], here, known))
        for s, section in enumerate(getattr(model, "sections", [])):
            for i, item in enumerate(section.items if section else []):
                if item is not None:
                    faults.extend(_added(marked, item, ("sections", s, "items", i), known))
    return faults


def _added(marked: Marked, entry: VariedEntry, here: Route, known: Known) -> Iterator[Fault]:
    for key in ("requires_add", "optional_add"):
        for r, asked in enumerate(getattr(entry, key) or ()):
            if asked is not None:
                yield from requirement_faults(marked, asked, (*here, key, r), known)


def _changed(marked: Marked, part: SharedPart, here: Route, known: Known) -> Iterator[Fault]:
    for short, change in (part.requires_change or {}).items():
        yield from requirement_faults(marked, change, (*here, "requires_change", short), known)


def _like(
    marked: Marked,
    part: SharedPart,
    here: Route,
    known: Known,
    written: dict[str, SharedPart],
    whole: dict[str, PartEntry],
) -> Iterator[Fault]:
    if part.like is not None and known.whole and part.like not in known.parts:
        yield marked.fault(
            (*here, "like"), f"no part {part.like!r}{nearest(part.like, known.parts)}"
        )
        return
    if part.like is not None and _circles(str(here[-1]), written):
        yield marked.fault((*here, "like"), "parts that are like one another run in a circle")
        return
    if part.like is not None and part.like not in whole:
        return  # left out for its shape, and told there
    base = whole[part.like] if part.like else PartEntry()
    there = {one.id for one in (*(base.requires or ()), *(base.optional or ())) if one}
    for key in ("requires_change", "requires_drop"):
        for short in getattr(part, key) or ():
            if short not in there:
                text = f"the part has no requirement {short!r}{nearest(short, there)}"
                yield marked.fault((*here, key), text)


def _inherited(marked: Marked, whole: PartEntry, here: Route, known: Known) -> Iterator[Fault]:
    """Profile keys that come from the part it is like and that this checklist lacks."""
    rules = [whole.if_fitted or {}]
    for one in (*(whole.requires or ()), *(whole.optional or ())):
        rules.append((one.if_fitted or {}) if one else {})
    for key in sorted({key for rule in rules for key in rule} - set(known.keys)):
        if known.whole:
            yield marked.fault((*here, "like"), f"takes over the unknown profile key {key!r}")


def _circles(name: str, written: dict[str, SharedPart]) -> bool:
    seen = {name}
    after = written[name].like
    while after is not None and after in written:
        if after in seen:
            return True
        seen.add(after)
        after = written[after].like
    return False
