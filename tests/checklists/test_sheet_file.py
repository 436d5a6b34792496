"""Sheets as files: forms, sizes, traps of spreadsheet programs."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from pathlib import Path

import pytest
from openpyxl import Workbook

from walkgrade.checklists.sheet_file import MOST_ROWS, read_table, write_table
from walkgrade.errors import ChecklistError

ROWS = [["item", "say"], ["Horn", "works"], ["Tires", '=seats; ≥ 4/32, "a"'], ["'quoted", "-1"]]


def cells(path: Path) -> list[list[str]]:
    table = read_table(path)
    rows = [list(line.cells) for line in (table.head, *table.lines)]
    return [row + [""] * (2 - len(row)) for row in rows]


@pytest.mark.parametrize("ending", [".csv", ".xlsx", ".XLSX"])
def test_what_is_written_is_read_again(tmp_path: Path, ending: str) -> None:
    path = write_table(tmp_path / f"sheet{ending}", ROWS)
    assert cells(path) == ROWS


def test_no_cell_is_a_formula(tmp_path: Path) -> None:
    text = write_table(tmp_path / "sheet.csv", ROWS).read_text("utf-8-sig")
    assert "'=seats" in text
    assert "'-1" in text
    assert "''quoted" in text
    path = write_table(tmp_path / "sheet.xlsx", ROWS)
    with zipfile.ZipFile(path) as packed:
        assert b"<f>" not in packed.read("xl/worksheets/sheet1.xml")


@pytest.mark.parametrize("comma", [",", ";", "\t"])
def test_commas_semicolons_and_tabs(tmp_path: Path, comma: str) -> None:
    path = tmp_path / "sheet.csv"
    path.write_text(f"item{comma}say\r\n\r\n# note{comma}x\r\nHorn{comma}works\r\n", "utf-8-sig")
    table = read_table(path)
    assert [line.cells for line in table.lines] == [("Horn", "works")]
    assert table.lines[0].number == 4, "as the spreadsheet counts"


def test_line_numbers_count_lines_within_cells(tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    path.write_text('item,say\nHorn,"loud\n and clear"\nWipers,work\n', "utf-8")
    assert [(one.number, one.cells[1]) for one in read_table(path).lines] == [
        (2, "loud and clear"), (4, "work"),
    ]  # fmt: skip


def book(path: Path, *rows: list[object]) -> Path:
    made = Workbook()
    for row in rows:
        made.active.append(row)
    made.save(path)
    return path


def test_numbers_and_truths_become_text(tmp_path: Path) -> None:
    path = book(tmp_path / "x.xlsx", ["item", "say"], [4, 2.5], [5.0, True])
    assert cells(path)[1:] == [["4", "2.5"], ["5", "yes"]]


def test_a_fraction_that_became_a_date_is_named(tmp_path: Path) -> None:
    path = book(tmp_path / "x.xlsx", ["item", "say"], ["Belt", date(2026, 1, 4)])
    (fault,) = read_table(path).faults
    assert (fault.line, fault.path) == (2, "column 2")
    assert "Format the column as text" in fault.message


def packed(**parts: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in parts.items():
            made.writestr(name, content)
    return out.getvalue()


BAD = {
    "empty": (b"", "has no rows"),
    "head only": (b"item,say\n", "has no rows"),
    "notes only": (b"item,say\n# a,b\n", "has no rows"),
    "latin": ("item,say\nHorn,laut f\u00fcr alle\n".encode("latin-1"), "line 2 is not UTF-8"),
    "old excel": (b"\xd0\xcf\x11\xe0rest", "old Excel form"),
    "no zip": (b"PK\x03\x04rubbish", "cannot be read as XLSX"),
    "other zip": (packed(a=b"x"), "cannot be read as XLSX"),
    "bomb": (packed(a=b"0" * 100_000_001), "unpacks to far more"),
    "open quote": (b'item,say\n"Horn,works\n', "unexpected end"),
    "nul": (b"item,say\nHo\0rn,works\n", "NUL"),
    "too many rows": (b"item,say\n" + b"a,b\n" * (MOST_ROWS + 1), "more than 5000 rows"),
    "too many columns": (b"a," * 70 + b"\nx\n", "more than 60 columns"),
    "too large": (b"a" * 10_000_001, "is larger than 10 MB"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_files_that_are_no_sheets(name: str, tmp_path: Path) -> None:
    content, says = BAD[name]
    path = tmp_path / "sheet.csv"
    path.write_bytes(content)
    with pytest.raises(ChecklistError, match=says) as caught:
        read_table(path)
    assert caught.value.code == "C07"
    assert "own-sheet" in caught.value.way_out


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    for path in (tmp_path / "gone.csv", tmp_path):
        with pytest.raises(ChecklistError, match="cannot be opened") as caught:
            read_table(path)
        assert caught.value.code == "C07"


def test_other_endings_are_not_written(tmp_path: Path) -> None:
    with pytest.raises(ChecklistError) as caught:
        write_table(tmp_path / "sheet.ods", ROWS)
    assert caught.value.code == "C09"
    assert not list(tmp_path.iterdir())
