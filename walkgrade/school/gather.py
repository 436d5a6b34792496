"""A folder of grade documents as frames.

Decides: which files count. A file that is no grade document, or a broken one, never stops the rest;
the same run graded twice against the same checklist counts once, as last graded.
Conventions: folders below are read too; a document is dropped once its rows are taken, so memory
does not grow with its evidence. Times without a zone are taken as this machine's.
Public: `Gathered`, `LeftOut`, `gather`, `documents`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from walkgrade.errors import InputError
from walkgrade.reports.document import Document, read_document
from walkgrade.school.frames import Frames, frames

NO_CODE = "(no code)"
OTHER_JSON = "I62"
WORDS_ENDING = ".words.json"
"""What `walkgrade grade --write words` writes: a transcript, never a grade document."""

Rows = list[tuple[Any, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A file that was not counted: its name below the folder, a code, and why.

    `broken` is False for files that are simply something else, and for older gradings.
    """

    file: str
    code: str
    why: str
    broken: bool = True


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gathered:
    """What a folder holds."""

    frames: Frames
    left_out: tuple[LeftOut, ...]


@dataclass(slots=True)
class _Rows:
    attempts: Rows = field(default_factory=list)
    findings: Rows = field(default_factory=list)
    numbers: Rows = field(default_factory=list)
    reviews: Rows = field(default_factory=list)


def gather(folder: Path, progress: Callable[[int, int], None] | None = None) -> Gathered:
    """Read every grade document in `folder` and below.

    Parameters
    ----------
    folder : where results lie.
    progress : told files read and files in all.

    Raises
    ------
    InputError I40 : the folder is none, or holds no grade document that can be read.
    """
    rows = _Rows()
    left_out: list[LeftOut] = []
    for _, name, document in documents(folder, left_out, progress):
        _take(document, name, len(rows.attempts), rows)
    if not rows.attempts:
        raise InputError(
            "I40",
            f"No grade document was found in {folder} ({len(left_out)} other JSON files).",
            "Grade the runs first: walkgrade grade FOLDER --write html,json",
        )
    every = frames(rows.attempts, rows.findings, rows.numbers, rows.reviews)
    kept, older = _newest(every)
    return Gathered(frames=kept, left_out=(*left_out, *older))


def documents(
    folder: Path, left_out: list[LeftOut], progress: Callable[[int, int], None] | None = None
) -> Iterator[tuple[Path, str, Document]]:
    """Every grade document in `folder` and below: its path, its name below the folder, itself.

    Files that cannot be used are put into `left_out`.

    Raises
    ------
    InputError I40 : the folder is none.
    """
    if not folder.is_dir():
        raise InputError("I40", f"{folder} is no folder.", "Give the folder of the results.")
    paths = sorted(_candidates(folder))
    for number, path in enumerate(paths, start=1):
        name = path.relative_to(folder).as_posix()
        try:
            document = read_document(path)
        except (InputError, RecursionError) as error:
            left_out.append(_left_out(name, error))
        else:
            yield path, name, document
        if progress:
            progress(number, len(paths))


def _candidates(folder: Path) -> Iterator[Path]:
    for path in folder.rglob("*.json"):
        hidden = any(part.startswith(".") for part in path.relative_to(folder).parts)
        if path.is_file() and not hidden and not path.name.endswith(WORDS_ENDING):
            yield path


def _left_out(name: str, error: InputError | RecursionError) -> LeftOut:
    if isinstance(error, RecursionError):
        return LeftOut(file=name, code="I61", why="It is nested too deeply to be read.")
    return LeftOut(file=name, code=error.code, why=error.message, broken=error.code != OTHER_JSON)


def _newest(every: Frames) -> tuple[Frames, tuple[LeftOut, ...]]:
    """Each run once for each checklist: as last graded, the later file name breaking ties."""
    runs = every.attempts.sort_values(["graded_at", "file"], kind="stable")
    named = runs[runs["attempt"] != ""]
    double = named[named.duplicated(["attempt", "checklist"], keep="last")]
    if double.empty:
        return every, ()
    last = named.drop_duplicates(["attempt", "checklist"], keep="last")
    newest = last.set_index(["attempt", "checklist"])["file"]
    told = tuple(
        LeftOut(
            file=str(file),
            code="N50",
            why=f"The same run stands in {newest.loc[(attempt, checklist)]}, graded later.",
            broken=False,
        )
        for file, attempt, checklist in zip(
            double["file"], double["attempt"], double["checklist"], strict=True
        )
    )
    gone = set(double["run"])
    return every.of(run for run in every.attempts["run"] if run not in gone), told


def _take(document: Document, name: str, run: int, rows: _Rows) -> None:
    sections = {row["id"]: row["title"] for row in document["sections"]}
    rows.attempts.append(_attempt(document, name, run))
    rows.findings.extend(
        (
            run,
            item["id"],
            item["title"],
            item["section"],
            sections[item["section"]],
            item["critical"],
            item["outcome"],
            item["heard"],
            item["reviewed"],
        )
        for item in document["items"]
    )
    same = ("item", "requirement", "title", "says", "accepted", "critical")
    for row in document["numbers"]:
        told = (row["said"], row["verdict"], row["repaired"])
        rows.numbers.append((run, *(row[key] for key in same), *told))
    for row in document["number_gaps"]:
        rows.numbers.append((run, *(row[key] for key in same), "", "not given", False))
    rows.reviews.extend(
        (run, row["item"], turn, row["who"], row["new"])
        for turn, row in enumerate(document["reviews"])
    )


def _attempt(document: Document, name: str, run: int) -> tuple[Any, ...]:
    attempt, totals, made = document["attempt"], document["totals"], document["provenance"]
    shown = " ".join(attempt["trainee"].split())
    stem = name.removesuffix(".json")
    return (
        run,
        name,
        attempt["id"],
        shown.casefold() if shown else f"{NO_CODE} {stem}",
        shown or f"{NO_CODE} {stem}",
        " ".join(attempt["group"].split()),
        attempt["taken_at"][:10],
        _seconds(attempt["taken_at"] or made["graded_at"]),
        made["graded_at"],
        made["checklist"]["id"],
        made["checklist"]["title"],
        made["checklist"]["version"],
        attempt["vehicle"] or made["profile"]["title"],
        totals["items"],
        totals["complete"],
        len(document["listening"]),
        len(document["critical"]),
        totals["points"],
        totals["points_if_confirmed"],
        totals["points_possible"],
        _number(totals["percent"]),
        _number(totals["percent_if_confirmed"]),
        document["target"]["percent"],
        _number(document["pace"]["elapsed_ms"]),
        document["pace"]["budget_ms"],
    )


def _number(value: float | None) -> float:
    return float("nan") if value is None else float(value)


def _seconds(text: str) -> float:
    try:
        return datetime.fromisoformat(text).timestamp()
    except (ValueError, OverflowError, OSError):
        return float("nan")
