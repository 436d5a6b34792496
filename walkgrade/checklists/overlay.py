"""Overlays: a base checklist with the changes of one state or school.

Decides: what a change does. The result is an ordinary `Checklist` under the overlay's own id.
Conventions: a base is a shipped name or a ``.yaml`` file beside the overlay, and may be an overlay
itself (state first, school on top). A requirement whose limit, words or need changes rests on the
sources the overlay names for it, else on the overlay's own `basis`. `sha256` covers the bytes of
the overlay and the `sha256` of its base.
Public: `load_any`, `load_overlay`, `is_overlay`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from walkgrade.checklists.faults import FaultyFileError, refuse
from walkgrade.checklists.gather import empty_faults, validate_alone
from walkgrade.checklists.loader import (
    build_basis,
    build_checklist,
    build_fitted,
    build_item,
    build_limit,
    build_requirement,
    build_seconds,
    gather_sound,
    kind_of,
    load_checklist,
)
from walkgrade.checklists.marked_yaml import Marked, read_marked
from walkgrade.checklists.overlay_checks import (
    Ground,
    added_items,
    changes_what_is_asked,
    overlay_faults,
)
from walkgrade.checklists.overlay_schema import ItemOverlay, OverlayFile, RequirementOverlay
from walkgrade.checklists.records import (
    Checklist,
    Fitted,
    Item,
    Marking,
    Place,
    Requirement,
    Section,
)
from walkgrade.checklists.resolve import Asked, whole_parts
from walkgrade.checklists.schema import SourceEntry
from walkgrade.errors import Fault

Find = Callable[[str, Path], Path]

_WAY_OUT = "docs/checklist-format.md shows what an overlay may say; mend the file and try again."
_DEEPEST = 8


def is_overlay(marked: Marked) -> bool:
    """True when a file says what it changes, and has no sections of its own."""
    value = marked.value
    return isinstance(value, dict) and "base" in value and "sections" not in value


def load_any(path: Path, find: Find) -> Checklist:
    """Read a checklist or an overlay.

    Parameters
    ----------
    path : the file.
    find : the file of a base, from its name and the overlay that names it.

    Raises
    ------
    FaultyFileError : C01 no readable YAML; C02 faults of a checklist; C06 faults of an overlay.
    """
    if not is_overlay(read_marked(path)):
        return load_checklist(path)
    return load_overlay(path, find)


def load_overlay(path: Path, find: Find) -> Checklist:
    """Read an overlay and its base. Parameters and errors as in `load_any`."""
    return _ground(path, find, ()).checklist


def _ground(path: Path, find: Find, chain: tuple[Path, ...]) -> Ground:
    marked = read_marked(path)
    if not is_overlay(marked):
        return _plain(path)
    entry, faults = validate_alone(marked, OverlayFile)
    empty = empty_faults(marked)
    faults = [*empty, *(fault for fault in faults if fault.path not in {f.path for f in empty})]
    if entry is None or faults:
        raise refuse("C06", f"Overlay {path}", faults, _WAY_OUT)
    ground = _base(path, marked, entry, find, chain)
    if faults := overlay_faults(marked, entry, ground):
        raise refuse("C06", f"Overlay {path}", faults, _WAY_OUT)
    return _apply(marked, entry, ground)


def _plain(path: Path) -> Ground:
    gathered, entry = gather_sound(path)
    models = [model for _, model in gathered.files if model is not None]
    return Ground(
        checklist=build_checklist(gathered, entry),
        parts=whole_parts(gathered),
        sources={key: source for model in models for key, source in model.sources.items()},
        sections={section.id: section for section in entry.sections if section},
    )


def _base(
    path: Path, marked: Marked, entry: OverlayFile, find: Find, chain: tuple[Path, ...]
) -> Ground:
    here = path.resolve()
    chain = (*chain, here)
    faults: list[Fault]
    try:
        base = find(entry.base, path).resolve()
        if base in chain:
            names = " -> ".join(one.name for one in (*chain[chain.index(base) :], base))
            faults = [marked.fault(("base",), f"files change each other: {names}")]
        elif len(chain) >= _DEEPEST:
            faults = [marked.fault(("base",), f"more than {_DEEPEST} files change each other")]
        else:
            return _ground(base, find, chain)
    except FaultyFileError as error:
        told = f"{entry.base}: {error.message.splitlines()[0]} {error.way_out}".rstrip(": ")
        faults = [marked.fault(("base",), told), *error.faults]
    raise refuse("C06", f"Overlay {path}", faults, _WAY_OUT)


def _apply(marked: Marked, entry: OverlayFile, ground: Ground) -> Ground:
    sources = {**ground.sources, **entry.sources}
    base = ground.checklist
    places = (
        *base.places,
        *(Place(id=p.id, title=p.title, cues=tuple(p.cues)) for p in entry.places),
    )
    items = _changed_items(base, entry, sources, {place.id: place for place in places})
    items = _with_added(marked, entry, ground, items, sources, {p.id: p for p in places})
    sections = _sections(base, entry, {item.section for item in items})
    checklist = replace(
        base,
        id=entry.id,
        version=entry.version,
        title=entry.title,
        vehicle=entry.vehicle or base.vehicle,
        edition=entry.edition or f"{base.edition}; changed as of {entry.date}",
        budget_s=sum(section.budget_s for section in sections),
        cautions=(*base.cautions, *entry.cautions),
        places=places,
        sections=sections,
        items=_tidied(items, sections, carry_over=entry.carry_over),
        profile_keys=_keys(base, entry),
        sha256=hashlib.sha256(marked.content + base.sha256.encode()).hexdigest(),
        marking=_marking(base, entry),
        changes=base.id,
        dated=entry.date,
    )
    return Ground(
        checklist=checklist,
        parts={**ground.parts, **entry.parts},
        sources=sources,
        sections={s.id: ground.sections[s.id] for s in sections},
    )


def _changed_items(
    base: Checklist, entry: OverlayFile, sources: dict[str, SourceEntry], places: dict[str, Place]
) -> list[Item]:
    dropped = set(entry.drop)
    items = []
    for item in base.items:
        if item.id in dropped:
            continue
        kept = tuple(
            _changed(req, entry.requirements[req.id], entry.basis, sources)
            if req.id in entry.requirements
            else req
            for req in item.requirements
            if req.id not in dropped
        )
        item = replace(item, requirements=kept)
        if item.id in entry.items:
            change = entry.items[item.id]
            item = _changed_item(item, change, places)
            item = replace(item, requirements=_more(item, change, entry.basis, sources))
        items.append(item)
    return items


def _changed(
    req: Requirement,
    change: RequirementOverlay,
    own: Iterable[str],
    sources: dict[str, SourceEntry],
) -> Requirement:
    given = change.model_fields_set
    basis = change.basis or (list(own) if changes_what_is_asked(change) else [])
    new = replace(
        req,
        row=change.row or req.row,
        says=change.says or req.says,
        required=req.required if change.required is None else change.required,
        concepts=tuple(change.concepts or ()) if "concepts" in given else req.concepts,
        patterns=tuple(change.patterns or ()) if "patterns" in given else req.patterns,
        about=tuple(change.about or ()) if "about" in given else req.about,
        limit=build_limit(change.limit) if change.limit else req.limit,
        if_fitted=build_fitted(change.if_fitted) if "if_fitted" in given else req.if_fitted,
        basis=tuple(build_basis(sources[name]) for name in basis) or req.basis,
    )
    return replace(new, kind=kind_of(new.concepts, new.patterns))


def _changed_item(item: Item, change: ItemOverlay, places: dict[str, Place]) -> Item:
    names = tuple(change.names) if change.names else item.names
    place = change.place or item.place
    title = change.title or item.title
    return replace(
        item,
        row=change.row or item.row,
        title=title.replace("{place}", places[place].title.lower()),
        names=(*names, *(n for n in change.names_add or () if n not in names)),
        place=place,
        why=change.why or item.why,
        caution=change.caution or item.caution,
        critical=item.critical if change.critical is None else change.critical,
        if_fitted=build_fitted(change.if_fitted) if change.if_fitted else item.if_fitted,
        carry_over=item.carry_over if change.carry_over is None else tuple(change.carry_over),
    )


def _more(
    item: Item, change: ItemOverlay, basis: list[str], sources: dict[str, SourceEntry]
) -> tuple[Requirement, ...]:
    """The requirements of `item` and the new ones, needed ones before optional ones."""
    new = [Asked(entry=entry, required=True) for entry in change.requires_add or ()]
    new += [Asked(entry=entry, required=False) for entry in change.optional_add or ()]
    built = [build_requirement(asked, item.id, item.row, basis, sources) for asked in new]
    return tuple(sorted((*item.requirements, *built), key=lambda req: not req.required))


def _with_added(
    marked: Marked,
    entry: OverlayFile,
    ground: Ground,
    items: list[Item],
    sources: dict[str, SourceEntry],
    places: dict[str, Place],
) -> list[Item]:
    # "after" may name a dropped item: its place in the base still says where the new one goes.
    order = [item.id for item in ground.checklist.items]
    sections = {item.id: item.section for item in ground.checklist.items}
    made = {item.id: item for item in items}
    for one in added_items(marked, entry, ground):
        item = build_item(one, 0, sources, places)
        after = entry.add[int(one.route[1])].after
        last = [n for n, name in enumerate(order) if sections[name] == item.section]
        at = order.index(after) if after else last[-1]
        order.insert(at + 1, item.id)
        sections[item.id] = item.section
        made[item.id] = item
    return [made[name] for name in order if name in made]


def _sections(base: Checklist, entry: OverlayFile, used: set[str]) -> tuple[Section, ...]:
    """Sections with their minutes; a budget for the whole alone is shared out in proportion."""
    kept = [section for section in base.sections if section.id in used]
    seconds = {section.id: section.budget_s for section in kept}
    for name, minutes in entry.section_minutes.items():
        seconds[name] = build_seconds(minutes)
    if entry.budget_minutes is not None and not entry.section_minutes:
        seconds = _shared_out(seconds, build_seconds(entry.budget_minutes))
    return tuple(replace(section, budget_s=seconds[section.id]) for section in kept)


def _shared_out(seconds: dict[str, int], whole: int) -> dict[str, int]:
    """Shares of `whole` in the proportion of `seconds`; they add up to it to the second."""
    total = sum(seconds.values()) or 1
    shares: dict[str, int] = {}
    before = done = 0
    for name, part in seconds.items():
        before += part
        shares[name] = whole * before // total - done
        done += shares[name]
    return shares


def _tidied(
    items: Iterable[Item], sections: Iterable[Section], *, carry_over: bool
) -> tuple[Item, ...]:
    """Steps counted anew, and no carry-over from what has gone."""
    items = tuple(items)
    there = {item.id for item in items}
    ordered = {section.id for section in sections if section.procedure}
    steps: dict[str, int] = {}
    tidy = []
    for item in items:
        step = 0
        if item.section in ordered:
            step = steps[item.section] = steps.get(item.section, 0) + 1
        kept = tuple(other for other in item.carry_over if other in there) if carry_over else ()
        tidy.append(replace(item, step=step, carry_over=kept))
    return tuple(tidy)


def _keys(base: Checklist, entry: OverlayFile) -> tuple[Fitted, ...]:
    keys = {rule.key: list(rule.values) for rule in base.profile_keys}
    return build_fitted({**keys, **entry.profile_keys})


def _marking(base: Checklist, entry: OverlayFile) -> Marking | None:
    old, points = base.marking or Marking(), entry.points
    dropped = set(entry.drop)
    singles = {name: value for name, value in old.items if name not in dropped}
    if points is not None:
        singles.update(points.items)
    new = Marking(
        each=old.each if points is None or points.each is None else points.each,
        items=tuple(singles.items()),
        late_counts=(
            old.late_counts if points is None or points.late_counts is None else points.late_counts
        ),
        target_percent=(
            old.target_percent if entry.target_percent is None else entry.target_percent
        ),
    )
    return None if new == Marking() else new
