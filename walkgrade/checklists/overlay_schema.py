# ruff: noqa: RUF012 - pydantic copies defaults; ruff sees that only in the file of the base class
"""Shape of an overlay: the file that changes a checklist for one state or school.

Decides: which keys exist and which types they take; what they mean is `overlay`.
Conventions: as in `schema`.
Public: `OverlayFile` and its entries.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from pydantic import AfterValidator, Field

from walkgrade.checklists.schema import (
    ItemEntry,
    ItemId,
    Number,
    PartEntry,
    PlaceEntry,
    RequirementChange,
    RequirementEntry,
    Rules,
    ShortId,
    SourceEntry,
    Strict,
    Text,
    Texts,
)


def _day(value: str) -> str:
    try:
        date.fromisoformat(value)
    except ValueError as error:
        raise ValueError(f'{value!r} is no day; write it as "2026-03-01"') from error
    return value


Points = Annotated[int, Field(ge=0, le=100)]
Day = Annotated[Text, AfterValidator(_day)]


class RequirementOverlay(RequirementChange):
    """Other values for one requirement; `required` makes it needed or optional."""

    required: bool | None = None


class ItemOverlay(Strict):
    """Other values for one item."""

    row: Text | None = None
    title: Text | None = None
    names: Texts | None = None
    names_add: Texts | None = None
    place: ShortId | None = None
    why: Text | None = None
    caution: Text | None = None
    critical: bool | None = None
    if_fitted: Rules | None = None
    carry_over: list[ItemId] | None = None
    requires_add: Annotated[list[RequirementEntry], Field(min_length=1)] | None = None
    optional_add: Annotated[list[RequirementEntry], Field(min_length=1)] | None = None


class AddedItem(ItemEntry):
    """A new item: `section` it goes to, and the item it comes `after` (default: the last)."""

    section: ShortId
    after: ItemId | None = None


class PointsEntry(Strict):
    """The school's own points."""

    each: Points | None = None
    items: dict[ItemId, Points] = {}
    late_counts: bool | None = None


class OverlayFile(Strict):
    """Changes of a checklist."""

    format: Annotated[int, Field(ge=1, le=1)]
    id: ShortId
    version: Text
    title: Text
    base: Text
    date: Day
    basis: Texts
    edition: Text | None = None
    vehicle: Text | None = None
    cautions: list[Text] = []
    sources: dict[str, SourceEntry] = {}
    profile_keys: Rules = {}
    places: list[PlaceEntry] = []
    parts: dict[ShortId, PartEntry] = {}
    budget_minutes: Number | None = None
    section_minutes: dict[ShortId, Number] = {}
    carry_over: bool = True
    points: PointsEntry | None = None
    target_percent: Points | None = None
    requirements: dict[ItemId, RequirementOverlay] = {}
    items: dict[ItemId, ItemOverlay] = {}
    add: list[AddedItem] = []
    drop: list[ItemId] = []


def without_place_keys(entry: AddedItem) -> ItemEntry:
    """The item itself, without where it goes."""
    given: dict[str, Any] = {
        key: getattr(entry, key) for key in entry.model_fields_set - {"section", "after"}
    }
    return ItemEntry.model_construct(_fields_set=set(given), **given)
