"""A school's sheet as a checklist.

Decides: the file that a draft (`sheet_draft`) becomes, and that it is read like any checklist
before anyone gets it; its faults are told by the rows of the sheet.
Conventions: the checklist is written out whole, without includes; cautions and keys of the vehicle
profile come from the checklist it is made `like`.
Public: `Imported`, `import_sheet`.
"""

from __future__ import annotations

import re
import tempfile
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from pathlib import Path

import yaml

from walkgrade.checklists import sheet_cells as cells
from walkgrade.checklists.faults import FaultyFileError, refuse
from walkgrade.checklists.loader import load_checklist
from walkgrade.checklists.marked_yaml import path_text
from walkgrade.checklists.records import Checklist
from walkgrade.checklists.schema import parse_number
from walkgrade.checklists.sheet_draft import (
    Decision,
    Draft,
    DraftItem,
    DraftSection,
    Entry,
    Terms,
    draft_of,
    fresh,
    slug,
)
from walkgrade.checklists.sheet_file import Table
from walkgrade.checklists.sheet_links import Sure
from walkgrade.errors import Fault

_WAY_OUT = "Mend these cells and import again; docs/own-sheet.md shows the columns."
_MINUTES_AN_ITEM = Fraction(1, 4)


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """The checklist, the text of its file, and what was filled in, in the order of the rows."""

    checklist: Checklist
    text: str
    decisions: tuple[Decision, ...]


def import_sheet(table: Table, terms: Terms) -> Imported:
    """Make a checklist of a sheet.

    Raises
    ------
    FaultyFileError : C08 with every fault, each with its row and column.
    """
    work = draft_of(table, terms)
    data, lines = _data(work)
    if work.faults:
        raise refuse("C08", f"The sheet {table.file}", work.faults, _WAY_OUT)
    text = _text(table, data)
    return Imported(
        checklist=_checked(table, text, lines),
        text=text,
        decisions=tuple(sorted(work.decisions, key=lambda one: one.row)),
    )


def _data(work: Draft) -> tuple[Entry, dict[str, int]]:
    """The checklist file as data, and the row of the sheet behind each of its places."""
    like, lines = work.terms.like, {"$": work.table.head.number}
    sections: list[Entry] = []
    budgets = _budgets(work)
    for s, section in enumerate(work.sections):
        items: list[Entry] = []
        for i, item in enumerate(section.items):
            lines[path_text(("sections", s, "items", i))] = item.row
            entry = _item_entry(work, item)
            for key, group in (("requires", item.requires), ("optional", item.optional)):
                short: set[str] = set()
                short.update(e["id"] for _, e in (*item.requires, *item.optional) if e["id"])
                for n, (number, req) in enumerate(group):
                    lines[path_text(("sections", s, "items", i, key, n))] = number
                    if not req["id"]:
                        req["id"] = fresh(slug(req["says"], "say"), short)
                        short.add(req["id"])
                if group:
                    entry[key] = [req for _, req in group]
            items.append(entry)
        lines[path_text(("sections", s))] = section.row
        sections.append(
            {
                "id": fresh(slug(section.title, "section"), {one["id"] for one in sections}),
                "title": section.title,
                "budget_minutes": _minutes(budgets[s]),
                "procedure": section.in_order,
                "items": items,
            }
        )
    keys = {rule.key: list(rule.values) for rule in like.profile_keys}
    data: Entry = {
        "format": 1,
        "id": work.terms.id,
        "version": work.terms.version,
        "title": work.terms.title,
        "vehicle": like.vehicle,
        "edition": "the school's own sheet",
        "budget_minutes": _minutes(sum(budgets, Fraction(0))),
        "cautions": list(like.cautions),
        "profile_keys": {**keys, **work.keys},
        "sources": {
            name: {"title": b.title, "section": b.section, "standing": str(b.standing)}
            for name, b in work.sources.items()
        },
        "places": [
            {"id": place.id, "title": place.title, "cues": list(place.cues)}
            for place in work.places.values()
        ],
        "sections": sections,
    }
    return data, lines


def _item_entry(work: Draft, item: DraftItem) -> Entry:
    entry = dict(item.entry)
    place = work.places[item.place].id
    if "id" not in entry:
        entry["id"] = fresh(f"{place}.{slug(item.title, 'item')}", work.ids)
    work.ids.add(entry["id"])
    entry.setdefault("row", f"sheet {item.row}")
    return {"id": entry.pop("id"), "title": item.title, "place": place, **entry}


def _budgets(work: Draft) -> list[Fraction]:
    """Minutes of each section; those without share what is left, by their number of items."""
    stated = [
        work.read(one.row, "minutes", partial(parse_number, one.minutes), Fraction(1))
        if one.minutes
        else None
        for one in work.sections
    ]
    waiting = [one for one, minutes in zip(work.sections, stated, strict=True) if minutes is None]
    shares = _shares(work, waiting, sum((s for s in stated if s is not None), Fraction(0)))
    budgets = []
    for one, minutes in zip(work.sections, stated, strict=True):
        if minutes is None:
            minutes = shares[one.title]
            work.took(one.row, one.title, "minutes", cells.minutes_text(minutes), Sure.LIKELY)
        budgets.append(minutes)
    return budgets


def _shares(work: Draft, waiting: list[DraftSection], stated: Fraction) -> dict[str, Fraction]:
    """Half minutes by number of items; the last section takes what is left of the whole."""
    items = sum(len(one.items) for one in waiting) or 1
    whole = work.terms.minutes
    each = _MINUTES_AN_ITEM if whole is None else max(whole - stated, Fraction(0)) / items
    shares = {
        one.title: max(Fraction(1, 2), Fraction(round(each * len(one.items) * 2), 2))
        for one in waiting
    }
    if whole is not None and waiting:
        others = sum((shares[one.title] for one in waiting[:-1]), stated)
        shares[waiting[-1].title] = max(Fraction(1, 2), whole - others)
    return shares


def _minutes(value: Fraction) -> int | str:
    return int(value) if value.denominator == 1 else cells.minutes_text(value)


def _text(table: Table, data: Entry) -> str:
    head = (
        f"# Made by walkgrade from the sheet {_one_line(table.file)}. Look through the list of\n"
        "# decisions that came with it. Your state's manual, local rules and the examiner come\n"
        "# first.\n"
    )
    return head + yaml.safe_dump(
        data, sort_keys=False, allow_unicode=True, width=100, default_flow_style=None
    )


def _one_line(name: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in name)


def _checked(table: Table, text: str, lines: dict[str, int]) -> Checklist:
    """The checklist as the program reads it; its faults are told by the rows of the sheet."""
    with tempfile.TemporaryDirectory(prefix="walkgrade-") as folder:
        path = Path(folder) / "checklist.yaml"
        path.write_text(text, encoding="utf-8")
        try:
            return load_checklist(path)
        except FaultyFileError as error:
            told = [_told(table, fault, lines) for fault in error.faults]
            raise refuse("C08", f"The sheet {table.file}", told, _WAY_OUT) from error


def _told(table: Table, fault: Fault, lines: dict[str, int]) -> Fault:
    path = fault.path
    while path not in lines and path:
        path = path[: max(path.rfind("."), path.rfind("["))] if re.search(r"[.\[]", path) else ""
    rest = fault.path[len(path) :].lstrip(".") or "row"
    row = lines.get(path, lines["$"])
    return Fault(file=table.file, line=row, path=rest, message=fault.message)
