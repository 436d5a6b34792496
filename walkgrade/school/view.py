"""The tables of a group arranged for the page and the terminal.

Decides: how much is shown (`MOST_LACKING` items, `MOST_VALUES` wrong values of a number) and what
stands beside what. Computes nothing that is not in `cohort`, `improvement` or `agreement`.
Conventions: plain Python values; None is "not known". One `ChecklistView` for each checklist.
Public: `View`, `ChecklistView`, `view_of`, `COUNTED`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from walkgrade.school import agreement, cohort, improvement
from walkgrade.school.gather import Gathered, LeftOut
from walkgrade.school.pictures import Picture, change_pictures, section_pictures

if TYPE_CHECKING:
    from pandas import DataFrame

    from walkgrade.school.frames import Frames

Row = dict[str, Any]

MOST_LACKING = 20
MOST_VALUES = 4
COUNTED = {
    "latest": "the latest run of each trainee",
    "best": "the best run of each trainee",
    "all": "every run",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecklistView:
    """One checklist's runs. `names` are the trainees shown, in the order of the grid's columns;
    `grid` holds sections with their items: `title`, `critical`, `complete`, `runs` and `cells`."""

    id: str
    title: str
    versions: tuple[str, ...]
    trainees: int
    all_runs: int
    counted_runs: int
    days: tuple[str, ...]
    median: float | None
    reached: int
    undecided: int
    targets: tuple[int, ...]
    to_hear: int
    items: int
    lacking: tuple[Row, ...]
    lacking_left: int
    numbers: tuple[Row, ...]
    changes: tuple[Row, ...]
    turns: tuple[Row, ...]
    runs: tuple[Row, ...]
    groups: tuple[Row, ...]
    people: tuple[Row, ...]
    program: tuple[Row, ...]
    names: tuple[str, ...]
    section_rows: tuple[tuple[str, tuple[float | None, ...]], ...]
    grid: tuple[tuple[str, tuple[Row, ...]], ...]
    section_pictures: tuple[Picture, ...]
    change_pictures: tuple[Picture, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Everything the page shows."""

    title: str
    counted: str
    checklists: tuple[ChecklistView, ...]
    left_out: tuple[LeftOut, ...]


def view_of(
    gathered: Gathered, *, title: str, which: str = "latest", target: int | None = None
) -> View:
    """Arrange what a folder holds.

    Parameters
    ----------
    gathered : runs, and files left out.
    title : heading of the page.
    which : see `cohort.choose`.
    target : the school's own target in percent; None takes each run's own.
    """
    data = gathered.frames
    return View(
        title=title,
        counted=COUNTED[which],
        checklists=tuple(checklist_view(one, which, target) for one in split(data)),
        left_out=gathered.left_out,
    )


def split(data: Frames) -> tuple[Frames, ...]:
    """Runs of one checklist each, the one with most runs first."""
    attempts = data.attempts
    return tuple(
        data.of(attempts[attempts["checklist"] == name]["run"])
        for name in cohort.checklists(attempts)
    )


def checklist_view(data: Frames, which: str, target: int | None) -> ChecklistView:
    """Arrange the runs of one checklist."""
    runs, chosen = data.attempts, cohort.choose(data.attempts, which)
    standing = cohort.standing(chosen, target)
    names = dict(zip(chosen["trainee"], chosen["who"], strict=True))
    lacking = cohort.missed(data, chosen)
    short = lacking[lacking["lacking"] > 0]
    changes = improvement.changes(data)
    targets = (target,) if target is not None else tuple(sorted(set(map(int, chosen["target"]))))
    by_section = cohort.sections(data, chosen)
    return ChecklistView(
        id=str(runs["checklist"].iloc[0]),
        title=str(runs["checklist_title"].iloc[-1]),
        versions=tuple(sorted(set(map(str, runs["version"])))),
        trainees=len(names),
        all_runs=len(runs),
        counted_runs=len(chosen),
        days=tuple(sorted({day for day in map(str, runs["day"]) if day})),
        median=_known(round(chosen["percent"].median(), 1)),
        reached=int((standing == cohort.MET).sum()),
        undecided=int((standing == cohort.UNDECIDED).sum()),
        targets=targets,
        to_hear=int(chosen["to_hear"].sum()),
        items=len(lacking),
        lacking=_rows(short.head(MOST_LACKING).reset_index()),
        lacking_left=max(0, len(short) - MOST_LACKING),
        numbers=_numbers(data, chosen),
        changes=_rows(changes.sort_values(["change", "who"], kind="stable")),
        turns=_rows(improvement.by_turn(runs).reset_index()),
        runs=_rows(chosen.assign(standing=standing)),
        groups=_groups(chosen, target),
        people=_rows(agreement.between_people(data.reviews)),
        program=_rows(agreement.with_program(data.findings).reset_index()),
        names=tuple(names.values()),
        section_rows=_sections(by_section),
        grid=_grid(cohort.coverage(data, chosen)),
        section_pictures=tuple(section_pictures(by_section, names)),
        change_pictures=tuple(change_pictures(changes, targets[0] if len(targets) == 1 else None)),
    )


def _groups(chosen: DataFrame, target: int | None) -> tuple[Row, ...]:
    """Groups side by side; nothing where there is one only."""
    table = improvement.groups(chosen, target)
    return _rows(table.reset_index()) if len(table) > 1 else ()


def _numbers(data: Frames, chosen: DataFrame) -> tuple[Row, ...]:
    table = cohort.number_calls(data, chosen)
    values: dict[str, list[str]] = {}
    for row in cohort.wrong_values(data, chosen).itertuples():
        said = values.setdefault(str(row.requirement), [])
        said.append(f"“{row.said}” {row.times} ×")
    rows = _rows(table[(table["wrong"] > 0) | (table["not_given"] > 0)].reset_index())
    return tuple(
        row | {"said": tuple(values.get(row["requirement"], ())[:MOST_VALUES])} for row in rows
    )


def _sections(table: DataFrame) -> tuple[tuple[str, tuple[float | None, ...]], ...]:
    return tuple(
        (str(title), tuple(_known(value) for value in values))
        for title, values in zip(table.index, table.to_numpy().tolist(), strict=True)
    )


def _grid(table: DataFrame) -> tuple[tuple[str, tuple[Row, ...]], ...]:
    """The coverage table by section; the counts come first, every other column is a trainee."""
    head = ["title", "section_title", "critical", "runs", "complete"]
    facts = table.iloc[:, : len(head)].astype(object).to_numpy().tolist()
    cells = table.iloc[:, len(head) :].to_numpy().tolist()
    parts: dict[str, list[Row]] = {}
    for fact, row in zip(facts, cells, strict=True):
        item = dict(zip(head, fact, strict=True))
        parts.setdefault(str(item["section_title"]), []).append(item | {"cells": tuple(row)})
    return tuple((title, tuple(rows)) for title, rows in parts.items())


def _rows(table: DataFrame) -> tuple[Row, ...]:
    columns = [str(name) for name in table.columns]
    return tuple(
        {name: _known(value) for name, value in zip(columns, row, strict=True)}
        for row in table.astype(object).to_numpy().tolist()
    )


def _known(value: Any) -> Any:
    """None for NaN, whole numbers without a decimal."""
    if isinstance(value, float):
        if value != value:
            return None
        return int(value) if value.is_integer() else value
    return value
