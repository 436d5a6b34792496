"""The tables of a group as CSV files for spreadsheets.

Decides: the files and their columns, and that no cell can become a formula (texts go through
`walkgrade.reports.tables.guarded`; figures stay figures).
Conventions: as in `walkgrade.reports.tables`: UTF-8 with a byte order mark, lines end in CR LF, an
empty cell is "not known" or "not on this vehicle".
Public: `SHEETS`, `sheets`, `write_sheet`.
"""

from __future__ import annotations

import csv
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from walkgrade.files import write_text
from walkgrade.reports.tables import guarded
from walkgrade.school import agreement, cohort, improvement

if TYPE_CHECKING:
    from pandas import DataFrame

    from walkgrade.school.frames import Frames

SHEETS = ("coverage", "runs", "missed", "numbers", "changes", "agreement")
_RUNS = (
    "who", "group", "day", "turn", "turns", "file", "version", "vehicle", "items", "complete",
    "to_hear", "critical_open", "points", "points_high", "points_possible", "percent",
    "percent_high", "elapsed_ms", "budget_ms",
)  # fmt: skip


def sheets(data: Frames, which: str, target: int | None = None) -> dict[str, DataFrame]:
    """Every table by its name in `SHEETS`.

    Parameters
    ----------
    data : runs of one checklist.
    which : see `cohort.choose`.
    target : the school's own; None takes each run's.
    """
    chosen = cohort.choose(data.attempts, which)
    names = dict(zip(chosen["trainee"], chosen["who"], strict=True))
    numbers = cohort.number_calls(data, chosen)
    wrong = cohort.wrong_values(data, chosen)
    said = {
        requirement: "; ".join(f"{row.said} ({row.times})" for row in rows.itertuples())
        for requirement, rows in wrong.groupby("requirement", observed=True)
    }
    return {
        "coverage": cohort.coverage(data, chosen).rename(columns=names).reset_index(),
        "runs": chosen[list(_RUNS)].assign(school_target=cohort.standing(chosen, target)),
        "missed": cohort.missed(data, chosen).reset_index(),
        "numbers": numbers.assign(
            said_wrongly=[said.get(name, "") for name in numbers.index]
        ).reset_index(),
        "changes": improvement.changes(data).reset_index(drop=True),
        "agreement": agreement.between_people(data.reviews),
    }


def write_sheet(path: Path, table: DataFrame) -> None:
    """Write one table to `path`, whole or not at all.

    Raises
    ------
    OutputError ``O01`` when it cannot be written, ``O02`` when the disk is full.
    """
    write_text(path, "\ufeff" + as_csv(table))


def as_csv(table: DataFrame) -> str:
    """`table` as CSV text without its index."""
    # By position: two trainees may be shown under one name.
    columns = [table.iloc[:, number].map(_cell) for number in range(table.shape[1])]
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([guarded(name) for name in table.columns])
    writer.writerows(zip(*columns, strict=True))
    return out.getvalue()


def _cell(value: Any) -> object:
    """A text guarded, a truth as yes or no, a figure short, "not known" empty."""
    import pandas as pd

    if isinstance(value, str):
        return guarded(value)
    if pd.isna(value):
        return ""
    if isinstance(value, bool) or type(value).__name__ == "bool":
        return "yes" if value else "no"
    if isinstance(value, float):
        return round(value, 3) if value % 1 else int(value)
    return value
