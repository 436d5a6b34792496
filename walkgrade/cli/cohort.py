"""`walkgrade cohort`: what a group covers, lacks and gains, from a folder of graded runs.

Public: `add`.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.progress import meter
from walkgrade.cli.words import Commands, add_kinds, add_output, command, percent
from walkgrade.errors import WalkgradeError
from walkgrade.files import ready_folder, write_bytes

if TYPE_CHECKING:
    from rich.table import Table

    from walkgrade.school.gather import Gathered
    from walkgrade.school.pictures import Picture
    from walkgrade.school.view import ChecklistView, View

DEFAULT_OUT = "walkgrade-cohort"
KINDS = {
    "html": "one page with everything",
    "csv": "its tables, for a spreadsheet",
    "png": "its pictures",
}
_ON_TERMINAL = 8

_EXAMPLES = """
walkgrade cohort friday-reports
walkgrade cohort spring-class --attempts best --target 85 --title "Spring class"
walkgrade cohort spring-class --attempts all --write html,csv,png --out spring-overview
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "cohort", _act, "compare the graded runs of a group of trainees", _EXAMPLES
    )
    parser.add_argument(
        "folder",
        type=Path,
        metavar="FOLDER",
        help="where grading wrote its documents (.json); folders below count too",
    )
    parser.add_argument(
        "--attempts",
        choices=("latest", "best", "all"),
        default="latest",
        help="which runs of each trainee count (default: %(default)s); "
        "change from run to run always looks at all",
    )
    parser.add_argument(
        "--target",
        type=percent,
        metavar="PERCENT",
        help="the school's own target in percent of the points (default: the one each run was "
        "graded with; no official pass mark exists)",
    )
    parser.add_argument("--title", metavar="TEXT", help="heading (default: the folder's name)")
    add_output(parser, DEFAULT_OUT)
    add_kinds(parser, KINDS, ("html", "csv"), default=("html", "csv"))


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.school.gather import gather
    from walkgrade.school.view import view_of

    if asked.write:
        ready_folder(asked.out)
    with meter("reading") as tick:
        gathered = gather(asked.folder, tick)
    view = view_of(
        gathered,
        title=asked.title or asked.folder.resolve().name,
        which=asked.attempts,
        target=asked.target,
    )
    _show(view)
    statuses = [exits.SOME_FAILED] if any(one.broken for one in view.left_out) else []
    statuses += _write(asked, gathered, view)
    return max(statuses, default=exits.OK)


def _write(asked: argparse.Namespace, gathered: Gathered, view: View) -> list[int]:
    """Write what was asked for; a file that cannot be written does not take the others along."""
    failures = []
    for place, writer in _files(asked, gathered, view):
        try:
            writer(place)
        except WalkgradeError as error:
            failures.append(exits.report(error, place.name))
        else:
            print(f"written: {place}", flush=True)
    return failures


def _files(
    asked: argparse.Namespace, gathered: Gathered, view: View
) -> list[tuple[Path, Callable[[Path], object]]]:
    from functools import partial

    from walkgrade.school.page import write_page
    from walkgrade.school.sheets import sheets, write_sheet
    from walkgrade.school.view import split

    out: list[tuple[Path, Callable[[Path], object]]] = []
    if "html" in asked.write:
        out.append((asked.out / "cohort.html", partial(write_page, view=view)))
    parts = split(gathered.frames)
    for one, data, stem in zip(view.checklists, parts, _stems(view), strict=True):
        if "csv" in asked.write:
            for name, table in sheets(data, asked.attempts, asked.target).items():
                place = asked.out / f"{stem}-{name}.csv"
                out.append((place, partial(write_sheet, table=table)))
        if "png" in asked.write:
            for kind, pictures in (
                ("sections", one.section_pictures), ("change", one.change_pictures)
            ):  # fmt: skip
                for number, picture in enumerate(pictures, start=1):
                    place = asked.out / f"{stem}-{kind}-{number}.png"
                    out.append((place, partial(_draw, picture=picture)))
    return out


def _draw(place: Path, picture: Picture) -> None:
    write_bytes(place, picture.png())


def _stems(view: View) -> list[str]:
    """How the files of each checklist begin; an id from a file is no path."""
    stems: list[str] = []
    for one in view.checklists:
        plain = re.sub(r"[^a-z0-9]+", "-", one.id.lower()).strip("-")[:60] or "checklist"
        stem, number = plain, 1
        while stem in stems:
            number += 1
            stem = f"{plain}-{number}"
        stems.append(stem)
    return stems


def _show(view: View) -> None:
    """The short of it on the terminal, and every file left out on stderr."""
    from rich.console import Console

    console = Console()
    if len(view.checklists) > 1:
        console.print(
            f"{len(view.checklists)} checklists stand in this folder; "
            "runs are compared within one only."
        )
    for one in view.checklists:
        _show_checklist(console.print, one, view.counted)
    for left in view.left_out:
        exits.say(f"[{left.code}] not counted: {left.file}: {left.why}")


def _show_checklist(show: Callable[..., None], one: ChecklistView, counted: str) -> None:
    from rich.text import Text

    from walkgrade.reports.wording import percent, plural

    show(Text(f"\n{one.title} [{one.id}]", style="bold"))
    targets = " to ".join(str(mark) for mark in dict.fromkeys((one.targets[0], one.targets[-1])))
    show(
        f"{plural(one.trainees, 'trainee')}, {plural(one.all_runs, 'run')}; counted: {counted}. "
        f"Median {percent(one.median)} of the points; {one.reached} of {one.counted_runs} reach "
        f"the school's own target ({targets} %; not an official pass mark). "
        f"Still to be heard: {plural(one.to_hear, 'item')}.",
        highlight=False,
    )
    if len(one.versions) > 1:
        show(f"Versions {', '.join(one.versions)} of the checklist are put together.")
    if one.lacking:
        show(_table(one))
    for row in one.numbers[:_ON_TERMINAL]:
        said = f"; said: {', '.join(row['said'])}" if row["said"] else ""
        show(
            Text(
                f"  {row['title']}: {row['wrong']} wrong, {row['not_given']} not given "
                f"(accepted: {row['accepted']}{said})"
            )
        )


def _table(one: ChecklistView) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False)
    table.add_column("most lacked")
    table.add_column("lacking", justify="right")
    table.add_column("of", justify="right")
    table.add_column("to hear", justify="right")
    for row in one.lacking[:_ON_TERMINAL]:
        name = f"{row['title']}{' (critical)' if row['critical'] else ''}"
        table.add_row(
            Text(name), str(row["lacking"]), str(row["judged"]), str(row["needs listening"])
        )
    return table
