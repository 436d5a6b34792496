"""Checklist and profile files read into records.

Decides: when a file is good; a file with any fault yields no record, only the list of all faults.
Conventions: `sha256` of a checklist covers the bytes of all its files, in the order read.
Public: `load_checklist`, `load_profile`; for `overlay`: `gather_sound`, `build_checklist`,
`build_item`, `build_requirement`, `build_limit`, `build_basis`, `build_fitted`, `build_seconds`,
`kind_of`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection
from fractions import Fraction
from pathlib import Path

from walkgrade.checklists.alike import alike_faults
from walkgrade.checklists.checks import meaning_faults
from walkgrade.checklists.faults import refuse
from walkgrade.checklists.gather import Gathered, gather, validate_alone
from walkgrade.checklists.marked_yaml import read_marked
from walkgrade.checklists.questions import question_faults, questions
from walkgrade.checklists.records import (
    Basis,
    Checklist,
    Comparator,
    Fitted,
    Item,
    Kind,
    Limit,
    Place,
    Requirement,
    Section,
    Standing,
    VehicleProfile,
)
from walkgrade.checklists.resolve import Asked, Resolved, resolve_items
from walkgrade.checklists.schema import ChecklistFile, LimitEntry, ProfileFile, SourceEntry

_WAY_OUT = "docs/checklist-format.md shows the format; mend the file and try again."


def load_checklist(path: Path) -> Checklist:
    """Read a checklist file with its includes.

    Raises
    ------
    FaultyFileError : C01 when the file is no readable YAML; C02 with all faults in `faults`.
    """
    gathered, checklist = gather_sound(path)
    return build_checklist(gathered, checklist)


def gather_sound(path: Path) -> tuple[Gathered, ChecklistFile]:
    """The files of a checklist that is without fault. Errors as for `load_checklist`."""
    gathered = gather(path)
    faults = [*gathered.faults, *meaning_faults(gathered), *alike_faults(gathered)]
    faults += question_faults(gathered)
    checklist = gathered.checklist
    if faults or checklist is None:
        raise refuse("C02", f"Checklist {path}", faults, _WAY_OUT)
    return gathered, checklist


def load_profile(path: Path) -> VehicleProfile:
    """Read a vehicle profile.

    Raises
    ------
    FaultyFileError : C01 when the file is no readable YAML; C04 with all faults in `faults`.
    """
    entry, faults = validate_alone(read_marked(path), ProfileFile)
    if faults or entry is None:
        raise refuse("C04", f"Vehicle profile {path}", faults, _WAY_OUT)
    return VehicleProfile(id=entry.id, title=entry.title, fitted=tuple(entry.fitted.items()))


def build_checklist(gathered: Gathered, entry: ChecklistFile) -> Checklist:
    """Records of files that are without fault."""
    models = [model for _, model in gathered.files if model is not None]
    sources = {key: source for model in models for key, source in model.sources.items()}
    places = tuple(
        Place(id=place.id, title=place.title, cues=tuple(place.cues))
        for model in models
        for place in model.places
        if place
    )
    digest = hashlib.sha256()
    for marked, _ in gathered.files:
        digest.update(marked.content)
    return Checklist(
        id=entry.id,
        version=entry.version,
        title=entry.title,
        vehicle=entry.vehicle,
        edition=entry.edition,
        budget_s=build_seconds(entry.budget_minutes),
        cautions=tuple(text for model in models for text in model.cautions),
        places=places,
        sections=tuple(
            Section(
                id=section.id,
                title=section.title,
                budget_s=build_seconds(section.budget_minutes),
                procedure=section.procedure,
            )
            for section in entry.sections
            if section
        ),
        items=_items(resolve_items(gathered), sources, {place.id: place for place in places}),
        profile_keys=build_fitted(
            {key: values for model in models for key, values in model.profile_keys.items()}
        ),
        questions=questions(gathered),
        sha256=digest.hexdigest(),
    )


def build_seconds(minutes: Fraction) -> int:
    """Whole seconds of `minutes`."""
    return round(minutes * 60)


def build_fitted(rules: dict[str, list[str]] | None) -> tuple[Fitted, ...]:
    """Rules on the vehicle."""
    return tuple(Fitted(key=key, values=tuple(values)) for key, values in (rules or {}).items())


def _items(
    resolved: list[Resolved], sources: dict[str, SourceEntry], places: dict[str, Place]
) -> tuple[Item, ...]:
    steps: dict[str, int] = {}
    items: list[Item] = []
    for one in resolved:
        step = 0
        if one.section.procedure:
            step = steps[one.section.id] = steps.get(one.section.id, 0) + 1
        items.append(build_item(one, step, sources, places))
    return tuple(items)


def build_item(
    one: Resolved, step: int, sources: dict[str, SourceEntry], places: dict[str, Place]
) -> Item:
    """An item without fault as record."""
    entry = one.entry
    # The checks have passed, so these are stated; the fallbacks only satisfy the types.
    item_id, place, row = one.id or "", entry.place or "", entry.row or ""
    return Item(
        id=item_id,
        title=(entry.title or "").replace("{place}", places[place].title.lower()),
        row=row,
        section=one.section.id,
        place=place,
        names=tuple(entry.names or ()),
        requirements=tuple(
            build_requirement(asked, item_id, row, entry.basis or [], sources)
            for asked in one.requirements
        ),
        why=entry.why or "",
        caution=entry.caution or "",
        carry_over=tuple(entry.carry_over or ()),
        if_fitted=build_fitted(entry.if_fitted),
        step=step,
        critical=bool(entry.critical),
    )


def build_requirement(
    asked: Asked, item_id: str, row: str, basis: list[str], sources: dict[str, SourceEntry]
) -> Requirement:
    """A requirement without fault as record."""
    entry = asked.entry
    return Requirement(
        id=f"{item_id}.{entry.id}",
        row=entry.row or row,
        kind=kind_of(entry.concepts, entry.patterns),
        says=entry.says,
        required=asked.required,
        concepts=tuple(entry.concepts or ()),
        patterns=tuple(entry.patterns or ()),
        about=tuple(entry.about or ()),
        limit=build_limit(entry.limit) if entry.limit else None,
        if_fitted=build_fitted(entry.if_fitted),
        basis=tuple(build_basis(sources[name]) for name in entry.basis or basis),
    )


def kind_of(concepts: Collection[str] | None, patterns: Collection[str] | None) -> Kind:
    """What a requirement asks for, by what earns it."""
    if concepts:
        return Kind.CONDITION
    return Kind.ACTION if patterns else Kind.LIMIT


def build_limit(entry: LimitEntry) -> Limit:
    """A limit as record."""
    return Limit(
        quantity=entry.quantity,
        comparator=Comparator(entry.comparator),
        low=entry.low,
        high=entry.high,
        accept_low=entry.accept[0],
        accept_high=entry.accept[1],
        unit=entry.unit,
    )


def build_basis(source: SourceEntry) -> Basis:
    """A source as record."""
    return Basis(title=source.title, section=source.section, standing=Standing(source.standing))
