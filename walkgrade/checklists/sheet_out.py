"""A checklist as the rows of a sheet.

Decides: one row for each thing to be said; what belongs to a section or item stands on the first.
Conventions: pure. Reading these rows again (`sheet_in`) and writing them gives the same rows.
Public: `sheet_rows`, `template_rows`.
"""

from __future__ import annotations

from fractions import Fraction

from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.checklists.sheet_cells import (
    COLUMNS,
    joined,
    limit_cells,
    minutes_text,
    rules_text,
    source_text,
)

Row = list[str]

_EXAMPLE = {
    "section": "# Example: Engine compartment", "minutes": "4", "place": "Engine compartment",
    "item": "Oil level", "names": "oil level; engine oil", "why": "Low oil can seize the engine.",
    "say": "between add and full", "needed": "yes", "source": "Yard sheet / page 1",
}  # fmt: skip
_EXAMPLE_NUMBER = {
    "section": "# Example: Wheels", "minutes": "2", "place": "Front axle", "item": "Tire tread",
    "names": "tread; tread depth", "say": "at least 4/32 inch", "needed": "yes",
    "number": "at least 4/32 in", "of": "tread depth", "accept": "4/32 to 4/32",
    "source": "49 CFR 393.75 / (b) Tread depth, front wheels [published]",
}  # fmt: skip


def template_rows() -> list[Row]:
    """An empty sheet: the names of the columns, what stands in them, and two examples. Rows that
    begin with ``#`` are notes and are not read."""
    notes = [f"# {text}" if n == 0 else text for n, text in enumerate(COLUMNS.values())]
    examples = [[row.get(name, "") for name in COLUMNS] for row in (_EXAMPLE, _EXAMPLE_NUMBER)]
    return [list(COLUMNS), notes, *examples]


def sheet_rows(checklist: Checklist) -> list[Row]:
    """The rows of a checklist; the first names the columns."""
    rows = [list(COLUMNS)]
    places = {place.id: place for place in checklist.places}
    told: set[str] = set()
    for section in checklist.sections:
        head = {
            "minutes": minutes_text(Fraction(section.budget_s, 60)),
            "in order": "yes" if section.procedure else "",
        }
        for item in checklist.items:
            if item.section != section.id:
                continue
            place = places[item.place]
            words = "" if place.id in told else joined(place.cues)
            told.add(place.id)
            first = {**head, "place words": words, **_item_cells(item)}
            head = {}
            for requirement in item.requirements:
                cells = {
                    "section": section.title,
                    "place": place.title,
                    "item": item.title,
                    **first,
                    **_requirement_cells(requirement, item),
                }
                first = {}
                rows.append([cells.get(name, "") for name in COLUMNS])
    return rows


def _item_cells(item: Item) -> dict[str, str]:
    return {
        "names": joined(item.names),
        "why": item.why,
        "caution": item.caution,
        "critical": "yes" if item.critical else "",
        "same as": joined(item.carry_over),
        "only if": rules_text(item.if_fitted),
        "row": item.row,
        "item id": item.id,
    }


def _requirement_cells(req: Requirement, item: Item) -> dict[str, str]:
    number, quantity, accept = limit_cells(req.limit) if req.limit else ("", "", "")
    return {
        "say": req.says,
        "needed": "yes" if req.required else "no",
        "number": number,
        "of": quantity,
        "accept": accept,
        "conditions": joined(req.concepts),
        "wording": joined(req.patterns),
        "about": joined(req.about),
        "say only if": rules_text(req.if_fitted),
        "source": joined(source_text(basis) for basis in req.basis),
        "say row": "" if req.row == item.row else req.row,
        "say id": req.id.removeprefix(f"{item.id}."),
    }
