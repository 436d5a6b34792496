"""The grade document as a strict schema, for files that come in.

Decides: which files are accepted. Unknown keys, missing keys, wrong types and ids that point
nowhere are refused, all at once, each with its path (``$.items[2].outcome``).
Conventions: as in docs/report.md; `faults` gives texts, empty when the document is sound.
Public: faults.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import ValidationError

from walkgrade.reports import schema_parts as part


class Document(part.Part):
    format: Literal["walkgrade-grade"]
    format_version: Literal[1]
    statement: str
    attempt: part.Attempt
    provenance: part.Provenance
    cautions: list[str]
    totals: part.Tally
    target: part.Target
    drills: list[part.Drill]
    critical: list[part.Critical]
    listening: list[part.Listen]
    pace: part.Pace
    sections: list[part.Section]
    places: list[part.Place]
    items: list[part.Item]
    numbers: list[part.Number]
    number_gaps: list[part.NumberGap]
    remarks: list[part.Remark]
    phrasing: list[part.Phrasing]
    notices: list[part.Remark]
    order: part.Order
    lines: list[part.Line]
    reviews: list[part.Review]


def faults(text: str) -> list[str]:
    """Every fault of a grade document given as JSON text, each as ``path: what``."""
    try:
        document = Document.model_validate_json(text)
    except ValidationError as error:
        return [
            f"{_path(fault['loc'])}: {fault['msg']}" for fault in error.errors(include_url=False)
        ]
    return list(_loose_ends(document))


def _path(where: tuple[int | str, ...]) -> str:
    return "$" + "".join(f"[{key}]" if isinstance(key, int) else f".{key}" for key in where)


def _loose_ends(document: Document) -> Iterable[str]:
    """Ids that are double or point nowhere."""
    sections = {row.id for row in document.sections}
    seen: set[str] = set()
    for number, item in enumerate(document.items):
        if item.id in seen:
            yield f"$.items[{number}].id: {item.id!r} stands twice"
        seen.add(item.id)
        if item.section not in sections:
            yield f"$.items[{number}].section: no section {item.section!r}"
    named = (
        *((f"$.reviews[{n}].item", row.item) for n, row in enumerate(document.reviews)),
        *((f"$.listening[{n}].item", row.item) for n, row in enumerate(document.listening)),
        *((f"$.critical[{n}].item", row.item) for n, row in enumerate(document.critical)),
        *((f"$.numbers[{n}].item", row.item) for n, row in enumerate(document.numbers)),
    )
    for path, item_id in named:
        if item_id not in seen:
            yield f"{path}: no item {item_id!r}"
