"""The tables for spreadsheets: no formula, no lost figure."""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path

import pandas as pd
import pytest
from group_factories import number

from walkgrade.school.sheets import SHEETS, as_csv, sheets, write_sheet

HOSTILE = '=HYPERLINK("http://evil","x")'


def cells(text: str) -> list[list[str]]:
    return list(csv.reader(StringIO(text, newline="")))


@pytest.fixture
def tables(group) -> dict[str, pd.DataFrame]:
    data = group(
        (HOSTILE, "CM?I", {"group": "+1"}),
        ("Bob", "CCC-", {"day": "2030-05-01"}),
        ("Bob", "MMM-", {"day": "2030-05-08"}),
        numbers=[number(0, "tread", "out of range", "-2/32"), number(2, "tread", "right")],
        reviews=[(0, "p1", 0, "@Quill", "complete"), (0, "p1", 1, "Ortiz", "missed")],
    )
    return sheets(data, "latest")


def test_every_table_is_there_with_its_rows(tables: dict[str, pd.DataFrame]) -> None:
    assert tuple(tables) == SHEETS
    assert {name: len(table) for name, table in tables.items()} == {
        "coverage": 4, "runs": 2, "missed": 4, "numbers": 1, "changes": 1, "agreement": 1,
    }  # fmt: skip


@pytest.mark.parametrize("name", SHEETS)
def test_no_cell_is_a_formula(tables: dict[str, pd.DataFrame], name: str) -> None:
    for row in cells(as_csv(tables[name])):
        for cell in row:
            if cell.lstrip().startswith(("=", "+", "@", "%", "|")):
                pytest.fail(cell)
            if cell.startswith("-"):
                float(cell)


def test_hostile_names_are_guarded_in_heads_too(tables: dict[str, pd.DataFrame]) -> None:
    assert cells(as_csv(tables["coverage"]))[0][-2:] == [f"'{HOSTILE}", "Bob"]
    assert cells(as_csv(tables["runs"]))[1][0] == f"'{HOSTILE}"


def test_figures_stay_figures(tables: dict[str, pd.DataFrame]) -> None:
    head, row = cells(as_csv(tables["changes"]))
    told = dict(zip(head, row, strict=True))
    assert told["who"] == "Bob"
    assert (told["first"], told["last"], told["change"]) == ("100", "0", "-100")
    assert (told["gained"], told["slipped"]) == ("0", "3")
    numbers = dict(zip(*cells(as_csv(tables["numbers"])), strict=True))
    assert (numbers["wrong"], numbers["right"], numbers["critical"]) == ("1", "1", "no")
    assert numbers["said_wrongly"] == "'-2/32 (1)"


def test_an_item_the_vehicle_lacks_is_an_empty_cell(tables: dict[str, pd.DataFrame]) -> None:
    rows = cells(as_csv(tables["coverage"]))
    assert rows[-1][0] == "q2"
    assert rows[-1][-2:] == ["incomplete", ""]


def test_two_trainees_shown_alike_keep_both_columns(group) -> None:
    data = group(("Ann", "CCCC", {"trainee": "one"}), ("Ann", "MMMM", {"trainee": "two"}))
    head, first, *_ = cells(as_csv(sheets(data, "latest")["coverage"]))
    assert head[-2:] == ["Ann", "Ann"]
    assert first[-2:] == ["complete", "missed"]


def test_the_file_is_read_back_by_pandas(tables: dict[str, pd.DataFrame], tmp_path: Path) -> None:
    place = tmp_path / "missed.csv"
    write_sheet(place, tables["missed"])
    data = place.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\r\n") == data.count(b"\n") == 5
    back = pd.read_csv(place, encoding="utf-8-sig")
    assert back["lacking"].tolist() == tables["missed"]["lacking"].tolist()
    assert back["share"].tolist() == pytest.approx(tables["missed"]["share"].tolist(), abs=1e-3)


def test_an_empty_table_keeps_its_head(group) -> None:
    table = sheets(group(("Ann", "CCCC")), "latest")["agreement"]
    assert cells(as_csv(table)) == [list(table.columns)]
