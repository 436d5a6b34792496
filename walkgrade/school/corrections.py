"""Many corrections from one file: a spreadsheet (CSV) or YAML.

Decides: what such a file may hold, which run a row means, and that a file with any fault changes
nothing: all faults are told at once, with their lines.
Conventions: the columns are `COLUMNS`; rows are applied in the order of the file, each keeping the
call it replaced. A row that is already there is passed over, so applying a file again does no harm.
A row older than the newest call on its item is refused, because the last call counts.
Public: `COLUMNS`, `OUTCOMES`, `Correction`, `Run`, `Plan`, `read_corrections`, `runs_of`, `plan`.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from io import StringIO
from pathlib import Path
from typing import Any

from walkgrade.errors import Fault, InputError
from walkgrade.grading.records import Review
from walkgrade.matching.records import ItemOutcome
from walkgrade.reports.document import Document
from walkgrade.reports.restore import reviews_of

COLUMNS = ("attempt", "item", "outcome", "who", "when", "why")
OUTCOMES = tuple(str(outcome) for outcome in ItemOutcome)
_MAY_BE_EMPTY = ("when",)
_YAML = (".yaml", ".yml")
_SHAPE = f"The columns are {', '.join(COLUMNS)}; `when` may be empty. See docs/instructor.md."


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """One row. `attempt` is the id of a run, or the name of its document; `when` ISO 8601."""

    line: int
    attempt: str
    item: str
    outcome: ItemOutcome
    who: str
    when: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What a plan needs of a document: where it lies, its names, and its calls so far.

    `place` is its path below the folder, without ``.json``; `names` its id and its bare name.
    """

    path: Path
    place: str
    names: tuple[str, ...]
    outcomes: Mapping[str, ItemOutcome]
    reviews: tuple[Review, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Reviews to be added, by document; `already` counts rows that are there."""

    reviews: Mapping[Path, tuple[Review, ...]]
    already: int


def read_corrections(path: Path) -> tuple[Correction, ...]:
    """Read a file of corrections.

    Raises
    ------
    InputError I41 : it cannot be read at all. I42 : rows with faults; all are listed.
    """
    text = _text(path)
    rows = _yaml_rows(path) if path.suffix.lower() in _YAML else _csv_rows(path, text)
    good: list[Correction] = []
    faults: list[Fault] = []
    for line, cells in rows:
        found = list(_row_faults(path.name, line, cells))
        faults += found
        if not found:
            good.append(_correction(line, cells))
    if faults:
        raise _faulty(path.name, faults)
    if not good:
        raise InputError("I41", f"{path.name} holds no correction.", _SHAPE)
    return tuple(good)


def runs_of(documents: Iterable[tuple[Path, str, Document]]) -> Iterator[Run]:
    """A `Run` of each (path, name below the folder, document)."""
    for path, name, document in documents:
        place = name.removesuffix(".json")
        yield Run(
            path=path,
            place=place,
            names=(document["attempt"]["id"] or place, place.rsplit("/", 1)[-1]),
            outcomes={row["id"]: ItemOutcome(row["outcome"]) for row in document["items"]},
            reviews=reviews_of(document),
        )


def plan(file: str, corrections: Iterable[Correction], runs: Sequence[Run], now: str) -> Plan:
    """Which reviews each document gets. Pure.

    Parameters
    ----------
    file : name of the file of corrections, for the faults.
    corrections, runs : as read.
    now : ISO 8601 text for rows without `when`.

    Raises
    ------
    InputError I42 : rows that name no run or item, or are older than a call that is there.
    """
    named = _Named(runs)
    added: dict[Path, list[Review]] = {}
    faults: list[Fault] = []
    already = 0
    for row in corrections:
        meant = named.meant(row.attempt)
        if len(meant) != 1:
            problem = named.problem(row.attempt, meant)
            faults.append(Fault(file=file, line=row.line, path="attempt", message=problem))
            continue
        run = meant[0]
        calls = [*run.reviews, *added.get(run.path, ())]
        problem = _item_problem(row, run)
        if not problem and _is_there(row, calls):
            already += 1
            continue
        problem = problem or _age_problem(row, calls)
        if problem:
            faults.append(Fault(file=file, line=row.line, path="item", message=problem))
            continue
        added.setdefault(run.path, []).append(_review(row, run, calls, now))
    if faults:
        raise _faulty(file, faults)
    return Plan(reviews={path: tuple(rows) for path, rows in added.items()}, already=already)


def _review(row: Correction, run: Run, calls: Sequence[Review], now: str) -> Review:
    before = [call.new for call in calls if call.item == row.item]
    return Review(
        item=row.item,
        old=before[-1] if before else run.outcomes[row.item],
        new=row.outcome,
        who=row.who,
        when=row.when or now,
        why=row.why,
    )


class _Named:
    """Runs by what they may be called: the place in the folder first, then id or bare name."""

    def __init__(self, runs: Sequence[Run]) -> None:
        self._places = {run.place: run for run in runs}
        self._names: dict[str, list[Run]] = {}
        for run in runs:
            for name in dict.fromkeys(run.names):
                self._names.setdefault(name, []).append(run)

    def meant(self, said: str) -> list[Run]:
        plain = said.removesuffix(".json")
        exact = self._places.get(plain)
        return [exact] if exact else self._names.get(plain, [])

    def problem(self, said: str, found: Sequence[Run]) -> str:
        """Why `said` means no single run."""
        if not found:
            near = _near(said, {*self._places, *self._names})
            return f"no run is called {said!r}; nearest: {near}"
        places = ", ".join(run.place for run in found)
        return f"{said!r} names {len(found)} runs; say which: {places}"


def _item_problem(row: Correction, run: Run) -> str:
    if row.item in run.outcomes:
        return ""
    return f"{row.attempt} has no item {row.item!r}; nearest: {_near(row.item, run.outcomes)}"


def _is_there(row: Correction, calls: Sequence[Review]) -> bool:
    """The same call by the same person for the same reason, at the same time if one is given."""
    return any(
        (call.item, call.new, call.who, call.why) == (row.item, row.outcome, row.who, row.why)
        and row.when in ("", call.when)
        for call in calls
    )


def _age_problem(row: Correction, calls: Sequence[Review]) -> str:
    mine = _moment(row.when)
    for call in calls:
        theirs = _moment(call.when)
        if call.item == row.item and mine and theirs and mine < theirs:
            return (
                f"{row.item} was called later, at {call.when} by {call.who}; "
                "leave `when` empty to decide anew"
            )
    return ""


def _moment(text: str) -> datetime | None:
    """A time with a zone: this machine's where none is given."""
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError, OSError):
        return None


def _near(wanted: str, known: Iterable[str]) -> str:
    return ", ".join(difflib.get_close_matches(wanted, sorted(known), n=3, cutoff=0.4)) or "none"


def _text(path: Path) -> str:
    if path.suffix.lower() not in (".csv", *_YAML):
        raise InputError(
            "I41", f"{path.name} is neither CSV nor YAML.", "Give a .csv, .yaml or .yml file."
        )
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise InputError(
            "I41", f"{path} cannot be read: {error.strerror}.", "Check the path."
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(
            "I41", f"{path.name} is not UTF-8 text.", "Save it as CSV in UTF-8."
        ) from error


def _csv_rows(path: Path, text: str) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows with their lines; the sign between cells is taken from the head."""
    head = text.splitlines()[0] if text.strip() else ""
    sign = max(",;\t", key=head.count)
    reader = csv.reader(StringIO(text, newline=""), delimiter=sign, strict=True)
    try:
        names = [_column(name) for name in next(reader, [])]
        _check_columns(path.name, names)
        for cells in reader:
            if any(cell.strip() for cell in cells):
                padded = [*cells, *[""] * (len(names) - len(cells))]
                extra = {"": " ".join(cells[len(names) :])} if len(cells) > len(names) else {}
                # A quoted cell may hold line ends: the row ends on the line told.
                yield reader.line_num, dict(zip(names, padded, strict=False)) | extra
    except csv.Error as error:
        raise InputError(
            "I41", f"{path.name}, line {reader.line_num}: {error}.", "Save it as CSV again."
        ) from error


def _yaml_rows(path: Path) -> list[tuple[int, dict[str, str]]]:
    from walkgrade.checklists.marked_yaml import read_marked
    from walkgrade.errors import ChecklistError

    try:
        marked = read_marked(path)
    except ChecklistError as error:
        raise InputError(
            "I41", f"{path.name} is no YAML that can be read.", error.message
        ) from error
    rows = marked.value
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError("I41", f"{path.name} is no list of corrections.", _SHAPE)
    if marked.faults:
        raise _faulty(path.name, marked.faults)
    out: list[tuple[int, dict[str, str]]] = []
    for place, row in enumerate(rows):
        _check_columns(path.name, [_column(name) for name in row])
        cells = {
            _column(name): marked.raw((place, name)) or _plain(value) for name, value in row.items()
        }
        out.append((marked.line((place,)), cells))
    return out


def _plain(value: Any) -> str:
    return "" if value is None else str(value)


def _column(name: str) -> str:
    plain = " ".join(name.split()).lower()
    return {"new outcome": "outcome", "new": "outcome"}.get(plain, plain)


def _check_columns(file: str, names: Sequence[str]) -> None:
    missing = [name for name in COLUMNS if name not in names and name not in _MAY_BE_EMPTY]
    odd = [name for name in names if name not in COLUMNS]
    if missing or odd or len(set(names)) != len(names):
        told = [f"lacks {', '.join(missing)}"] if missing else []
        told += [f"has {', '.join(map(repr, odd))}"] if odd else []
        raise InputError("I41", f"{file} {' and '.join(told) or 'has a column twice'}.", _SHAPE)


def _row_faults(file: str, line: int, cells: Mapping[str, str]) -> Iterator[Fault]:
    def fault(column: str, message: str) -> Fault:
        return Fault(file=file, line=line, path=column, message=message)

    for name in COLUMNS:
        if name not in _MAY_BE_EMPTY and not cells.get(name, "").strip():
            yield fault(name, "is empty")
    outcome = cells.get("outcome", "").strip()
    if outcome and _outcome(outcome) not in OUTCOMES:
        yield fault("outcome", f"{outcome!r} is not one of {', '.join(OUTCOMES)}")
    when = cells.get("when", "").strip()
    if when and _moment(when) is None:
        yield fault("when", f"{when!r} is no date; write 2026-03-06 or 2026-03-06T08:15")
    if cells.get("", "").strip():
        yield fault("$", "has more cells than the head")


def _outcome(text: str) -> str:
    return " ".join(text.replace("-", " ").split()).lower()


def _correction(line: int, cells: Mapping[str, str]) -> Correction:
    plain = {name: " ".join(cells.get(name, "").split()) for name in COLUMNS}
    outcome = ItemOutcome(_outcome(plain.pop("outcome")))
    return Correction(line=line, outcome=outcome, **plain)


def _faulty(file: str, faults: Iterable[Fault]) -> InputError:
    ordered = sorted(faults, key=lambda one: (one.line, one.path))
    count = "1 fault" if len(ordered) == 1 else f"{len(ordered)} faults"
    listing = "".join(f"\n  {replace(fault, file=file)}" for fault in ordered)
    return InputError(
        "I42",
        f"{file} has {count}; nothing was changed:{listing}",
        "Mend the rows, then run it again.",
    )
