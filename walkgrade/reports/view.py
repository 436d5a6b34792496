"""The grade document arranged for a page: groups, anchors, numbered sources.

Decides: what stands beside what. Joins and sorts; computes no result.
Conventions: anchors are running numbers (``item-3``, ``line-12``, ``source-2``), never ids from a
file, so that no id can break the page. A `Json` here is a part of the grade document.
Public: View, view_of.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from walkgrade.reports.marked import Piece, cut

Json = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceRow:
    """One published (or remembered) source and the sheet rows that rest on it."""

    anchor: str
    number: int
    title: str
    section: str
    standing: str
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TranscriptLine:
    """A line with its evidence marked; `silence_ms` is the silence before it, 0 for none."""

    anchor: str
    line: Json
    pieces: tuple[Piece, ...]
    items: tuple[Json, ...]
    place: str
    silence_ms: int


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Everything the page template needs beside the document."""

    sections: tuple[tuple[Json, tuple[Json, ...]], ...]
    items: dict[str, Json]
    item_anchor: dict[str, str]
    line_anchor: dict[str, str]
    section_title: dict[str, str]
    place_title: dict[str, str]
    sources: tuple[SourceRow, ...]
    source_of: dict[tuple[str, str, str], SourceRow]
    lines: tuple[TranscriptLine, ...]
    reviews: dict[str, tuple[Json, ...]]
    numbers_wrong: tuple[Json, ...]
    numbers_right: tuple[Json, ...]

    def source(self, basis: Json) -> SourceRow:
        """The numbered source of `basis`."""
        return self.source_of[_key(basis)]


def view_of(document: Json) -> View:
    """Arrange `document` for a page."""
    items = {item["id"]: item for item in document["items"]}
    places = {place["id"]: place["title"] for place in document["places"]}
    anchors = {item_id: f"item-{number}" for number, item_id in enumerate(items, start=1)}
    sources = tuple(_sources(document))
    return View(
        sections=tuple(
            (row, tuple(item for item in document["items"] if item["section"] == row["id"]))
            for row in document["sections"]
        ),
        items=items,
        item_anchor=anchors,
        line_anchor={
            line["id"]: f"line-{number}" for number, line in enumerate(document["lines"], start=1)
        },
        section_title={row["id"]: row["title"] for row in document["sections"]},
        place_title=places,
        sources=sources,
        source_of={(row.title, row.section, row.standing): row for row in sources},
        lines=tuple(_lines(document, items, places)),
        reviews={
            item_id: tuple(row for row in document["reviews"] if row["item"] == item_id)
            for item_id in items
        },
        numbers_wrong=tuple(row for row in document["numbers"] if not row["right"]),
        numbers_right=tuple(row for row in document["numbers"] if row["right"]),
    )


def _key(basis: Json) -> tuple[str, str, str]:
    return basis["title"], basis["section"], basis["standing"]


def _sources(document: Json) -> Iterator[SourceRow]:
    """Every source once, in the order the sheet meets them, then those of the rules."""
    rows: dict[tuple[str, str, str], dict[str, None]] = {}
    for item in document["items"]:
        for part in item["requirements"]:
            for basis in part["basis"]:
                rows.setdefault(_key(basis), {})[part["row"] or item["row"]] = None
    for part in (*document["critical"], *document["drills"], *document["numbers"]):
        for basis in part["basis"]:
            rows.setdefault(_key(basis), {})
    for number, (key, used) in enumerate(rows.items(), start=1):
        yield SourceRow(
            anchor=f"source-{number}",
            number=number,
            title=key[0],
            section=key[1],
            standing=key[2],
            rows=tuple(row for row in used if row),
        )


def _all_evidence(item: Json) -> Iterator[Json]:
    yield from item["named"]
    for part in item["requirements"]:
        yield from part["evidence"]


def _lines(
    document: Json, items: dict[str, Json], places: dict[str, str]
) -> Iterator[TranscriptLine]:
    quotes: dict[str, list[str]] = {}
    for item in items.values():
        for piece in _all_evidence(item):
            quotes.setdefault(piece["utterance"], []).append(piece["quote"])
    gaps = list(document["pace"]["silences"])
    for number, line in enumerate(document["lines"], start=1):
        silence = 0
        while gaps and line["start_ms"] is not None and gaps[0]["end_ms"] <= line["start_ms"]:
            gap = gaps.pop(0)
            silence += gap["end_ms"] - gap["start_ms"]
        yield TranscriptLine(
            anchor=f"line-{number}",
            line=line,
            pieces=cut(line["text"], quotes.get(line["id"], ())),
            items=tuple(items[name] for name in line["items"] if name in items),
            place=places.get(line["place"], ""),
            silence_ms=silence,
        )
