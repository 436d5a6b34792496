"""A school's sheet as a file: CSV or XLSX, in and out.

Decides: which files are taken (size, form, encoding), how a cell becomes text, and that no cell
written here can become a formula: one whose first sign would start it gets an apostrophe before it,
which reading takes away again.
Conventions: the first row that is not empty names the columns; rows whose first cell begins with
``#`` are notes and are skipped; runs of blanks and line breaks in a cell count as one blank. CSV is
UTF-8, separated by commas, semicolons or tabs, and is written with commas, CR LF and a byte order
mark, which spreadsheet programs want. An XLSX file's first sheet counts.
Public: `Line`, `Table`, `read_table`, `write_table`.
"""

from __future__ import annotations

import csv
import io
import warnings
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from walkgrade.errors import ChecklistError, Fault
from walkgrade.files import write_bytes

ENDINGS = (".csv", ".xlsx")
MOST_BYTES = 10_000_000
MOST_UNPACKED = 100_000_000
MOST_ROWS = 5_000
MOST_COLUMNS = 60
_STARTS = tuple("=+-@＝＋－＠|%'")
_OLD_EXCEL = b"\xd0\xcf\x11\xe0"
_WAY_OUT = (
    "docs/own-sheet.md shows the columns; `walkgrade checklist template` writes an empty sheet."
)

Cells = tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row: its number in the file (from 1) and its cells."""

    number: int
    cells: Cells


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A sheet as read: file name, column names and rows; `faults` are cells that cannot be used."""

    file: str
    head: Line
    lines: tuple[Line, ...]
    faults: tuple[Fault, ...] = ()


def read_table(path: Path) -> Table:
    """Read a sheet.

    Raises
    ------
    ChecklistError C07 : it cannot be opened, is far too large, has another form, or has no rows.
    """
    content = _content(path)
    faults: list[Fault] = []
    if content[:4] == _OLD_EXCEL:
        raise _refused(path, "is of the old Excel form, or protected by a password")
    is_packed = content[:2] == b"PK"
    lines = _from_xlsx(path, content, faults) if is_packed else _from_csv(path, content)
    kept = [line for line in lines if any(line.cells) and not line.cells[0].startswith("#")]
    if len(kept) < 2:
        raise _refused(path, "has no rows below the names of the columns")
    return Table(file=path.name, head=kept[0], lines=tuple(kept[1:]), faults=tuple(faults))


def write_table(path: Path, rows: Sequence[Sequence[str]]) -> Path:
    """Write rows (the first one names the columns) as CSV or XLSX, by the ending of the name.

    Raises
    ------
    ChecklistError C09 : another ending. OutputError O01, O02 : it cannot be written.
    """
    ending = path.suffix.casefold()
    if ending not in ENDINGS:
        raise ChecklistError(
            "C09", f"{path.name} ends in neither .csv nor .xlsx.", "Give a name with one of them."
        )
    tidy = [[_guarded(_tidy(cell)) for cell in row] for row in rows]
    return write_bytes(path, _as_xlsx(tidy) if ending == ".xlsx" else _as_csv(tidy))


def _content(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _refused(path, f"is larger than {MOST_BYTES // 1_000_000} MB")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise _refused(path, f"cannot be opened: {reason}") from error


def _from_csv(path: Path, content: bytes) -> list[Line]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = content[: error.start].count(b"\n") + 1
        raise _refused(path, f"line {number} is not UTF-8 text; save it as 'CSV UTF-8'") from error
    if "\0" in text:
        raise _refused(path, "holds NUL signs, which no text has; save it as 'CSV UTF-8'")
    first = next((line for line in text.splitlines() if line.strip()), "")
    comma = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)
    lines: list[Line] = []
    number = 1
    try:
        for row in reader:
            _not_too_many(path, len(lines), len(row))
            lines.append(Line(number=number, cells=tuple(_plain(cell) for cell in row)))
            number = reader.line_num + 1
    except csv.Error as error:
        raise _refused(path, f"line {reader.line_num}: {error}") from error
    return lines


def _from_xlsx(path: Path, content: bytes, faults: list[Fault]) -> list[Line]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if sum(part.file_size for part in packed.infolist()) > MOST_UNPACKED:
                raise _refused(path, "unpacks to far more than a sheet can hold")
        return list(_sheet_lines(path, content, faults))
    except ChecklistError:
        raise
    # The reader of a foreign format may fail in any way; none of them is a fault of this program.
    except Exception as error:
        raise _refused(path, f"cannot be read as XLSX: {type(error).__name__}") from error


def _sheet_lines(path: Path, content: bytes, faults: list[Fault]) -> Iterator[Line]:
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it tells of styles that were dropped
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        try:
            sheet = book.worksheets[0]
            sheet.reset_dimensions()
            rows = sheet.iter_rows(
                max_row=MOST_ROWS + 2, max_col=MOST_COLUMNS + 1, values_only=True
            )
            for number, row in enumerate(rows, start=1):
                cells = [_from_cell(path, number, n, value, faults) for n, value in enumerate(row)]
                while cells and not cells[-1]:
                    cells.pop()
                _not_too_many(path, number - 1, len(cells))
                yield Line(number=number, cells=tuple(cells) or ("",))
        finally:
            book.close()


def _from_cell(path: Path, number: int, column: int, value: Any, faults: list[Fault]) -> str:
    if isinstance(value, datetime | date | time | timedelta):
        text = (
            f"is the date or time {value}; spreadsheets make one of 1/4 or 3-5. Format the column "
            "as text and type the cell again"
        )
        where = f"column {column + 1}"
        faults.append(Fault(file=path.name, line=number, path=where, message=text))
        return ""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return _plain(str(value))


def _not_too_many(path: Path, rows: int, columns: int) -> None:
    if rows > MOST_ROWS:
        raise _refused(path, f"has more than {MOST_ROWS} rows")
    if columns > MOST_COLUMNS:
        raise _refused(path, f"has more than {MOST_COLUMNS} columns")


def _tidy(cell: str) -> str:
    """One blank for every run of blanks, line breaks and control signs."""
    return " ".join("".join(c if c.isprintable() else " " for c in cell).split())


def _plain(cell: str) -> str:
    """A cell as meant: tidied, without the apostrophe that kept it from being a formula."""
    cell = _tidy(cell)
    return cell[1:] if cell[:1] == "'" and cell[1:].startswith(_STARTS) else cell


def _guarded(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_STARTS) else cell


def _as_csv(rows: Iterable[Sequence[str]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(rows)
    return ("\ufeff" + out.getvalue()).encode("utf-8")


def _as_xlsx(rows: Sequence[Sequence[str]]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet = book.active
    sheet.title = "Sheet"
    for r, row in enumerate(rows, start=1):
        for c, text in enumerate(row, start=1):
            cell = sheet.cell(row=r, column=c)
            cell.number_format = "@"  # text, so that 1/4 does not become a date
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if text:
                cell.value = text
                cell.data_type = "s"
            if r == 1:
                cell.font = Font(bold=True)
    for c in range(1, len(rows[0]) + 1):
        letter = get_column_letter(c)
        longest = max((len(row[c - 1]) for row in rows[:50] if len(row) >= c), default=8)
        sheet.column_dimensions[letter].width = min(40, max(10, longest + 2))
        sheet.column_dimensions[letter].number_format = "@"
    sheet.freeze_panes = "A2"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _refused(path: Path, problem: str) -> ChecklistError:
    return ChecklistError("C07", f"The sheet {path.name} {problem}.", _WAY_OUT)
