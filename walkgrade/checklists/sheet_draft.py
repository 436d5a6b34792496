"""The rows of a school's sheet sorted into sections, items and requirements.

Decides: which rows belong together, what blank cells are filled with, and which of these a person
must look at.
Conventions: what a person wrote is never replaced. Faults name the row of the sheet and the column,
and are collected, not raised.
Public: `Terms`, `Decision`, `Draft`, `DraftSection`, `DraftItem`, `draft_of`, `slug`, `fresh`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from typing import Any

from walkgrade.checklists import sheet_cells as cells
from walkgrade.checklists.records import Basis, Checklist, Place
from walkgrade.checklists.schema import parse_number
from walkgrade.checklists.sheet_file import Table
from walkgrade.checklists.sheet_links import (
    Hear,
    KnownPart,
    Sure,
    link_conditions,
    link_part,
    own_wording,
)
from walkgrade.errors import Fault

Entry = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the sheet itself does not say. `like` gives places, cautions, and what a vehicle may
    have; `parts` are those one may link to; `hear` finds conditions in a line; `minutes` is the
    time for everything, shared out among sections without minutes of their own."""

    id: str
    title: str
    like: Checklist
    parts: tuple[KnownPart, ...]
    hear: Hear
    version: str = "1"
    minutes: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """Something that was filled in and how sure it is; `took` is what stands there now."""

    row: int
    where: str
    what: str
    took: str
    sure: Sure

    @property
    def asks(self) -> bool:
        """True when a person must decide."""
        return self.sure is not Sure.SURE


@dataclass(slots=True)
class DraftItem:
    """An item: its first row, its keys as in a file, and its requirements with their rows."""

    row: int
    title: str
    place: str
    entry: Entry
    requires: list[tuple[int, Entry]] = field(default_factory=list)
    optional: list[tuple[int, Entry]] = field(default_factory=list)
    is_linked: bool = False
    link: tuple[KnownPart, Sure] | None = None


@dataclass(slots=True)
class DraftSection:
    """A section: its first row, and its items."""

    row: int
    title: str
    minutes: str = ""
    in_order: bool = False
    items: list[DraftItem] = field(default_factory=list)


@dataclass(slots=True)
class Draft:
    """Everything gathered so far: sections with their items, places by title, sources and new
    profile keys, what was filled in, and the faults."""

    table: Table
    terms: Terms
    sections: list[DraftSection] = field(default_factory=list)
    places: dict[str, Place] = field(default_factory=dict)
    sources: dict[str, Basis] = field(default_factory=dict)
    keys: dict[str, list[str]] = field(default_factory=dict)
    decisions: list[Decision] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    ids: set[str] = field(default_factory=set)

    def fault(self, row: int, column: str, message: str) -> None:
        """Keep a fault."""
        self.faults.append(Fault(file=self.table.file, line=row, path=column, message=message))

    def read(self, row: int, column: str, make: Callable[[], Any], default: Any = None) -> Any:
        """What `make` reads from a cell; a ValueError becomes a fault."""
        try:
            return make()
        except ValueError as error:
            self.fault(row, column, str(error))
            return default

    def took(self, row: int, where: str, what: str, took: str, sure: Sure) -> None:
        """Keep a note of what a blank cell was filled with."""
        self.decisions.append(Decision(row=row, where=where, what=what, took=took, sure=sure))


def draft_of(table: Table, terms: Terms) -> Draft:
    """Sort the rows of a sheet; faults are in the result."""
    work = Draft(table=table, terms=terms, faults=list(table.faults))
    known = {cue.casefold(): place for place in terms.like.places for cue in place.cues}
    known.update({place.title.casefold(): place for place in terms.like.places})
    section: DraftSection | None = None
    item: DraftItem | None = None
    for number, row in _rows(work):
        section = _section(work, number, row, section)
        item = _item(work, number, row, section, item, known)
        if item is not None:
            _requirement(work, number, row, item)
    return work


def _rows(work: Draft) -> list[tuple[int, dict[str, str]]]:
    """Rows by column; columns without a name must be empty."""
    head = work.table.head
    names: list[str] = []
    for n, cell in enumerate(head.cells):
        name = work.read(head.number, f"column {n + 1}", partial(_column, cell), "")
        if name and name in names:
            work.fault(head.number, name, "stands twice; keep one column")
        names.append(name)
    for needed in ("item", "say"):
        if needed not in names and not work.faults:
            work.fault(head.number, needed, "there is no such column; it is needed")
    rows = []
    for line in work.table.lines:
        row = {name: cell for name, cell in zip(names, line.cells, strict=False) if name}
        for n, cell in enumerate(line.cells):
            if cell and (n >= len(names) or (not names[n] and not head.cells[n])):
                work.fault(line.number, f"column {n + 1}", f"{cell!r} stands below no column name")
        if any(row.values()):
            rows.append((line.number, row))
    return rows


def _column(cell: str) -> str:
    return cells.column_of(cell) if cell else ""


def _section(
    work: Draft, number: int, row: dict[str, str], last: DraftSection | None
) -> DraftSection:
    title = row.get("section", "") or (last.title if last else work.terms.title)
    found = next((one for one in work.sections if one.title == title), None)
    if found is None:
        found = DraftSection(row=number, title=title)
        work.sections.append(found)
    if minutes := row.get("minutes", ""):
        if found.minutes and found.minutes != minutes:
            work.fault(number, "minutes", f"{minutes!r} here, {found.minutes!r} above; keep one")
        found.minutes = minutes
        work.read(number, "minutes", partial(parse_number, minutes))
    if order := row.get("in order", ""):
        found.in_order |= work.read(number, "in order", lambda: cells.yes(order, False), False)
    return found


def _item(
    work: Draft,
    number: int,
    row: dict[str, str],
    section: DraftSection,
    last: DraftItem | None,
    known: dict[str, Place],
) -> DraftItem | None:
    """The item this row belongs to: the one above, or a new one."""
    title, place, name = row.get("item", ""), row.get("place", ""), row.get("item id", "")
    inside = last is not None and bool(section.items) and section.items[-1] is last
    if last is not None and inside:
        same_id = not name or name == last.entry.get("id")
        if (title or last.title) == last.title and (place or last.place) == last.place and same_id:
            _item_cells(work, number, row, last)
            return last
    if not title:
        work.fault(number, "item", "blank, and no item stands above it in this section")
        return None
    if not place:
        # Same section, same place, unless the sheet says otherwise.
        place = last.place if last is not None and inside else section.title
        if place not in work.places and place.casefold() not in known:
            work.took(number, title, "place", place, Sure.LIKELY)
    _place(work, number, row, place, known)
    item = DraftItem(row=number, title=title, place=place, entry={})
    section.items.append(item)
    _item_cells(work, number, row, item)
    _named(work, number, item)
    return item


def _place(
    work: Draft, number: int, row: dict[str, str], title: str, known: dict[str, Place]
) -> None:
    words = tuple(cells.entries(row.get("place words", "")))
    old = work.places.get(title)
    if old is not None:
        if words and words != old.cues:
            work.places[title] = Place(id=old.id, title=title, cues=words)
        return
    like = known.get(title.casefold())
    if like is not None and like.id not in {place.id for place in work.places.values()}:
        work.places[title] = Place(id=like.id, title=title, cues=words or like.cues)
        return
    taken = {place.id for place in (*work.places.values(), *known.values())}
    place_id = fresh(slug(title, "place"), taken)
    work.places[title] = Place(id=place_id, title=title, cues=words or (title.casefold(),))
    if not words:
        work.took(number, title, "place words", title.casefold(), Sure.LIKELY)


def _item_cells(work: Draft, number: int, row: dict[str, str], item: DraftItem) -> None:
    """Cells of the item; a later row may repeat or complete them, not contradict."""
    entry = item.entry
    given: Entry = {}
    for column, key in (("why", "why"), ("caution", "caution"), ("row", "row"), ("item id", "id")):
        if row.get(column):
            given[key] = row[column]
    for column, key in (("names", "names"), ("same as", "carry_over")):
        if row.get(column):
            given[key] = cells.entries(row[column])
    if row.get("critical"):
        given["critical"] = work.read(number, "critical", lambda: cells.yes(row["critical"], False))
    if row.get("only if"):
        given["if_fitted"] = _rules(work, number, "only if", row["only if"])
    for key, value in given.items():
        if key in entry and entry[key] != value:
            work.fault(number, key, f"{value!r} here, {entry[key]!r} above; keep one")
        entry[key] = value


def _rules(work: Draft, number: int, column: str, cell: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = work.read(number, column, lambda: cells.rules(cell), {})
    known = {rule.key: rule.values for rule in work.terms.like.profile_keys}
    for key, values in found.items():
        if key in known:
            continue
        words = work.keys.setdefault(key, [])
        words += [value for value in values if value not in words]
        took = f"{key}: {', '.join(words)}"
        work.took(number, key, "new thing a vehicle may have", took, Sure.LIKELY)
    return found


def _named(work: Draft, number: int, item: DraftItem) -> None:
    """Names of the known part that the item probably is, where the sheet gives none."""
    if item.entry.get("names"):
        return
    plain = _plain_name(item.title)
    link = _link(work, item)
    if link is not None and link[1] is Sure.SURE:
        item.entry["names"] = list(dict.fromkeys((plain, *link[0].names)))
        return
    item.entry["names"] = [plain]
    work.took(number, item.title, "names", plain, Sure.LIKELY)


def _link(work: Draft, item: DraftItem) -> tuple[KnownPart, Sure] | None:
    """The known part of an item, looked for when it is first needed."""
    if not item.is_linked:
        item.is_linked = True
        item.link = link_part(item.title, item.entry.get("names", ()), work.terms.parts)
        if item.link is not None:
            part, sure = item.link
            work.took(item.row, item.title, "known part", f"{part.id} ({part.title})", sure)
    return item.link


def _requirement(work: Draft, number: int, row: dict[str, str], item: DraftItem) -> None:
    say = row.get("say", "") or row.get("number", "")
    if not say:
        work.fault(number, "say", "blank; write what is to be said, or take the row out")
        return
    where = f"{item.title}: {say}"
    entry: Entry = {"id": row.get("say id", ""), "says": say}
    if row.get("say row"):
        entry["row"] = row["say row"]
    for column, key in (("conditions", "concepts"), ("wording", "patterns"), ("about", "about")):
        if values := cells.entries(row.get(column, "")):
            entry[key] = values
    if row.get("say only if"):
        entry["if_fitted"] = _rules(work, number, "say only if", row["say only if"])
    _number(work, number, row, item, entry)
    if not any(key in entry for key in ("concepts", "patterns", "limit")):
        _earned(work, number, where, item, entry)
    entry["basis"] = _basis(work, number, where, row.get("source", ""))
    needed = work.read(number, "needed", lambda: cells.yes(row.get("needed", ""), True), True)
    (item.requires if needed else item.optional).append((number, entry))


def _number(work: Draft, number: int, row: dict[str, str], item: DraftItem, entry: Entry) -> None:
    text, quantity, accept = (row.get(name, "") for name in ("number", "of", "accept"))
    if not text:
        for column in ("of", "accept"):
            if row.get(column):
                work.fault(number, column, "stands without a number; fill the column 'number'")
        return
    limit = work.read(
        number,
        "number",
        lambda: cells.limit_of(text, quantity or item.title.casefold(), accept),
    )
    if limit is None:
        entry["limit"] = None
        return
    entry["limit"] = limit
    if not accept:
        first, last = limit["accept"]
        work.took(number, entry["says"], "numbers that count", f"{first} to {last}", Sure.LIKELY)


def _earned(work: Draft, number: int, where: str, item: DraftItem, entry: Entry) -> None:
    link = link_conditions(entry["says"], _link(work, item), work.terms.hear)
    if link is None:
        pattern = own_wording(entry["says"])
        entry["patterns"] = [pattern]
        work.took(number, where, "wording", pattern, Sure.GUESS)
        return
    entry["concepts" if link.kind == "conditions" else "patterns"] = list(link.values)
    took = f"{', '.join(link.values)} ({link.source})"
    work.took(number, where, link.kind, took, link.sure)


def _basis(work: Draft, number: int, where: str, cell: str) -> list[str]:
    found = [
        work.read(number, "source", partial(cells.source_of, text)) for text in cells.entries(cell)
    ]
    if not found:
        found = [cells.NO_SOURCE]
        work.took(number, where, "source", cells.source_text(cells.NO_SOURCE), Sure.LIKELY)
    named = []
    for basis in found:
        if basis is None:
            continue
        name = next((key for key, old in work.sources.items() if old == basis), None)
        if name is None:
            name = fresh(slug(f"{basis.title} {basis.section}", "source"), set(work.sources))
            work.sources[name] = basis
        named.append(name)
    return named


def slug(text: str, default: str) -> str:
    """An id made of the first words of `text`."""
    words = re.findall(r"[a-z0-9]+", text.casefold())
    return "-".join(words[:6]) or default


def fresh(name: str, taken: Iterable[str]) -> str:
    """`name`, with a number behind it when it is taken."""
    taken = set(taken)
    number, fresh = 1, name
    while fresh in taken:
        number += 1
        fresh = f"{name}-{number}"
    return fresh


def _plain_name(title: str) -> str:
    """The name in a title: ``Tires (tread)``, ``Tread, front axle`` are tires and tread."""
    plain = re.split(r"[(,:]", title.casefold())[0].strip()
    return plain or title.casefold()
