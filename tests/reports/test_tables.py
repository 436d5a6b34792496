"""The spreadsheet table."""

from __future__ import annotations

import copy
import csv
import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from big_run import big_document
from example_run import example
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.reports.document import parse_document
from walkgrade.reports.tables import COLUMNS, guarded, items_csv, write_items_csv


def _rows(document: dict[str, Any]) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(items_csv(document), newline="")))


def test_one_row_for_each_item() -> None:
    document = big_document()
    rows = _rows(document)
    assert [row["item"] for row in rows] == [item["id"] for item in document["items"]]
    assert list(rows[0]) == list(COLUMNS)
    assert sum(int(row["points"]) for row in rows) == document["totals"]["points"]


def test_said_and_not_said_stand_in_their_columns() -> None:
    belt = next(row for row in _rows(example().document()) if row["item"] == "engine.belt")
    assert (belt["outcome"], belt["said"], belt["not_said"]) == ("incomplete", "snug", "no crack")
    tyre = next(row for row in _rows(example().document()) if row["item"] == "axle.tyre")
    assert tyre["said_wrongly"] == "at least 4/32 inch"
    assert tyre["numbers_said"] == "at least 2/32 in"
    assert tyre["numbers_accepted"] == "at least 4/32 in"
    assert tyre["first_at"] == "0:14"


def test_close_calls_are_told_and_older_documents_have_none() -> None:
    document = example().document()
    assert [row["item"] for row in _rows(document) if row["close_call"] == "yes"] == ["engine.oil"]
    for item in document["items"]:
        del item["close_call"]
    older = parse_document(json.dumps(document))
    assert {row["close_call"] for row in _rows(older)} == {"no"}


def test_unknown_moments_are_empty() -> None:
    rows = _rows(example(timed=False).document())
    assert {row["first_at"] for row in rows} == {""}
    assert {row["first_at_ms"] for row in rows} == {""}


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("plain", "plain"),
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@sum", "'@sum"),
        ("\t=1", "' =1"),
        ("\r\n=1", "'  =1"),
        ("  =1", "'  =1"),
        ("＝1", "'＝1"),
        ("a=1", "a=1"),
        (0.5, "0.5"),
        ("", ""),
    ],
)
def test_no_cell_is_a_formula(value: object, cell: str) -> None:
    assert guarded(value) == cell


@given(st.text(alphabet=st.sampled_from("=+-@\t\r\n \"',;a"), max_size=12))
def test_hostile_names_never_start_a_formula(text: str) -> None:
    document = copy.deepcopy(example().document())
    document["attempt"]["trainee"] = text
    for item in document["items"]:
        item["title"] = text
        for part in item["requirements"]:
            part["says"] = text
    for row in csv.reader(StringIO(items_csv(document), newline="")):
        assert len(row) == len(COLUMNS)
        for cell in row:
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
            assert not cell.lstrip().startswith(("=", "+", "-", "@"))


def test_file_carries_a_byte_order_mark(tmp_path: Path) -> None:
    write_items_csv(tmp_path / "items.csv", example().document())
    data = (tmp_path / "items.csv").read_bytes()
    assert data.startswith(b"\xef\xbb\xbfattempt,")
    assert data.endswith(b"\r\n")
