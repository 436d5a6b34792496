"""The items of a grade document as a table for spreadsheets.

Decides: the columns, and that no cell can become a formula: a cell whose first sign would start one
gets an apostrophe before it (that includes signs after blanks and their full-width forms).
Conventions: one row for each item, comma-separated, every line ends in CR LF (RFC 4180), UTF-8 with
a byte order mark so that spreadsheet programs read names rightly. Unknown moments are empty cells.
Public: COLUMNS, item_rows, items_csv, write_items_csv, guarded.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from typing import Any

from walkgrade.files import write_text
from walkgrade.reports.wording import clock

Json = dict[str, Any]

COLUMNS = (
    "attempt",
    "trainee",
    "taken_at",
    "section",
    "place",
    "item",
    "title",
    "row",
    "outcome",
    "heard",
    "reviewed",
    "critical",
    "late",
    "close_call",
    "points",
    "points_possible",
    "confidence",
    "first_at",
    "first_at_ms",
    "said",
    "not_said",
    "unclear",
    "said_wrongly",
    "numbers_said",
    "numbers_accepted",
)

_STARTS = tuple("=+-@＝＋－＠|%")
_CONTROL = dict.fromkeys((*range(32), 127, 0x2028, 0x2029, 0xFEFF), " ")


def guarded(value: object) -> str:
    """A cell that no spreadsheet takes for a formula; control signs become blanks.

    >>> guarded("=1+1"), guarded(" @x"), guarded(0.5), guarded("\\t-2")
    ("'=1+1", "' @x", '0.5', "' -2")
    """
    text = str(value).translate(_CONTROL)
    if text.lstrip().startswith(_STARTS):
        return f"'{text}"
    return text


def item_rows(document: Json) -> Iterator[dict[str, str]]:
    """One row for each item, keyed by `COLUMNS`, every cell guarded."""
    attempt = document["attempt"]
    sections = {row["id"]: row["title"] for row in document["sections"]}
    places = {row["id"]: row["title"] for row in document["places"]}
    for item in document["items"]:
        numbers = [row for row in document["numbers"] if row["item"] == item["id"]]
        first = item["first_at_ms"]
        cells = (
            attempt["id"],
            attempt["trainee"],
            attempt["taken_at"],
            sections[item["section"]],
            places.get(item["place"], item["place"]),
            item["id"],
            item["title"],
            item["row"],
            item["outcome"],
            item["heard"],
            _yes(item["reviewed"]),
            _yes(item["critical"]),
            _yes(item["late"]),
            _yes(item["close_call"]),
            item["points"],
            item["points_possible"],
            item["confidence"],
            "" if first is None else clock(first),
            "" if first is None else first,
            *(_wording(item, kind) for kind in ("said", "not said", "unclear", "contradicted")),
            "; ".join(row["said"] for row in numbers),
            "; ".join(row["accepted"] for row in numbers),
        )
        yield dict(zip(COLUMNS, map(guarded, cells), strict=True))


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _wording(item: Json, outcome: str) -> str:
    return "; ".join(
        part["says"]
        for part in item["requirements"]
        if part["required"] and part["outcome"] == outcome
    )


def items_csv(document: Json) -> str:
    """The table as text, without byte order mark."""
    out = StringIO(newline="")
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(item_rows(document))
    return out.getvalue()


def write_items_csv(path: Path, document: Json) -> None:
    """Write the table to `path`, whole or not at all.

    Raises
    ------
    OutputError ``O01`` when it cannot be written, ``O02`` when the disk is full.
    """
    write_text(path, "\ufeff" + items_csv(document))
