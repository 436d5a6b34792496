"""`walkgrade grade`: grade recordings, transcripts or a folder of them.

Public: `add`, `add_options`, `parse`, `grade_runs`.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits, results
from walkgrade.cli.batch import Batch
from walkgrade.cli.given import terms
from walkgrade.cli.hearing import ENDINGS, listener
from walkgrade.cli.words import (
    DEFAULT_OUT,
    Commands,
    Parser,
    add_checklist,
    add_hearing,
    add_kinds,
    command,
    minutes,
    percent,
)
from walkgrade.errors import InputError
from walkgrade.files import ready_folder

if TYPE_CHECKING:
    from walkgrade.grading.records import Review
    from walkgrade.reports.document import Attempt
    from walkgrade.workflow import Terms

_EXAMPLES = """
walkgrade grade myrun.m4a
walkgrade grade myrun.m4a --profile yard-bus-air --target 85 --budget 30
walkgrade grade friday/ --out friday-reports --write html,json,csv
walkgrade grade typed.txt --write none
walkgrade grade myrun.m4a --json | python -m json.tool
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "grade", _act, "grade recordings or transcripts of an inspection", _EXAMPLES
    )
    parser.add_argument(
        "runs",
        nargs="+",
        type=Path,
        metavar="RUN",
        help="a recording, a transcript (.json .srt .vtt .txt), or a folder of them",
    )
    parser.add_argument(
        "--taken-at",
        default="",
        metavar="WHEN",
        help="when it was recorded, such as 2026-03-06T08:15 (default: the time of the sound file)",
    )
    parser.add_argument(
        "--corrections",
        type=Path,
        metavar="RUN.json",
        help="an earlier grade document of the same run: its instructor's corrections are kept",
    )
    add_options(parser)


def add_options(parser: argparse.ArgumentParser) -> None:
    """The options of every command that ends in grading."""
    add_checklist(parser)
    parser.add_argument(
        "--target",
        type=percent,
        metavar="PERCENT",
        help="the school's own target in percent of the points (no official pass mark exists)",
    )
    parser.add_argument(
        "--budget",
        type=minutes,
        metavar="MINUTES",
        help="time budget for the whole run (default: the checklist's)",
    )
    parser.add_argument(
        "--trainee", default="", metavar="WHO", help="a code or name to put on the report"
    )
    parser.add_argument(
        "--group", default="", metavar="NAME", help="the class or yard to put on the report"
    )
    _add_results(parser)
    add_hearing(parser)


def parse(words: Sequence[str]) -> argparse.Namespace:
    """What `walkgrade grade` would be asked by `words`, for commands that end in grading."""
    whole = argparse.ArgumentParser()
    add(whole.add_subparsers(parser_class=Parser))
    return whole.parse_args(["grade", *words])


def _add_results(parser: argparse.ArgumentParser) -> None:
    group = parser.add_argument_group("results")
    group.add_argument(
        "-o",
        "--out",
        type=Path,
        metavar="FOLDER",
        help=f"folder for the files written (default: {DEFAULT_OUT})",
    )
    add_kinds(
        group,
        {name: kind[2] for name, kind in results.KINDS.items()},
        results.DEFAULT_KINDS,
        default=None,
    )
    group.add_argument(
        "--sound",
        choices=results.SOUND,
        default="auto",
        help="how the page plays moments: link to a recording that lies below its folder, embed "
        "the recording in the page (up to 25 MB), auto: whichever can be done, or none",
    )
    group.add_argument(
        "--every-item",
        action="store_true",
        help="list every item that is not complete on the terminal too",
    )
    group.add_argument(
        "--json",
        action="store_true",
        help="print the grade document of each run on one line of stdout, and nothing else; "
        "files are written only if --out or --write is given",
    )


def _act(asked: argparse.Namespace) -> int:
    return grade_runs(asked, lambda path: _attempt(asked, path))


def grade_runs(asked: argparse.Namespace, attempt_of: Callable[[Path], Attempt]) -> int:
    """Grade every run asked for; return the exit code."""
    from walkgrade import workflow
    from walkgrade.language.expected import expected_words

    paths = _runs(asked.runs)
    _check_time(asked.taken_at)
    wanted = terms(asked)
    delivery = results.Delivery(
        folder=asked.out or Path(DEFAULT_OUT), kinds=_kinds(asked), sound=asked.sound
    )
    reviews = _corrections(asked.corrections, len(paths))
    if delivery.kinds:
        ready_folder(delivery.folder)
    if not asked.json:
        _say_terms(asked, wanted)
    tools = workflow.Tools(listen=listener(asked, expected_words(wanted.checklist)))
    show = "json" if asked.json else "summary" if len(paths) == 1 else "files"
    batch = Batch(
        delivery=delivery,
        names=results.distinct_names(paths),
        show=show,
        every_item=asked.every_item,
    )
    try:
        for path, outcome in workflow.grade_each(
            paths, wanted, tools, attempt_of, lambda path: reviews
        ):
            batch.take(path, outcome)
    except KeyboardInterrupt:
        batch.say_kept()
        raise
    if show == "files":
        batch.show_overview()
    return batch.status


def _corrections(path: Path | None, runs: int) -> tuple[Review, ...]:
    """The corrections in an earlier grade document.

    Raises
    ------
    InputError I08 : they are given for more than one run.
    """
    if path is None:
        return ()
    if runs != 1:
        raise InputError(
            "I08", f"--corrections belong to one run; {runs} are given.", "Grade that run alone."
        )
    from walkgrade.reports.document import read_document
    from walkgrade.reports.restore import reviews_of

    return reviews_of(read_document(path))


def _kinds(asked: argparse.Namespace) -> tuple[str, ...]:
    if asked.write is not None:
        return tuple(asked.write)
    return () if asked.json and asked.out is None else results.DEFAULT_KINDS


def _runs(given: Sequence[Path]) -> tuple[Path, ...]:
    """The files meant, folders opened, each once."""
    from walkgrade.workflow import find_runs

    paths: list[Path] = []
    for path in given:
        paths += find_runs(path, ENDINGS) if path.is_dir() else [path]
    return tuple(dict.fromkeys(paths))


def _check_time(text: str) -> None:
    try:
        if text:
            datetime.fromisoformat(text)
    except ValueError as error:
        raise InputError(
            "I05",
            f"--taken-at {text!r} is no date.",
            "Write it as 2026-03-06 or 2026-03-06T08:15.",
        ) from error


def _attempt(asked: argparse.Namespace, path: Path) -> Attempt:
    from walkgrade.reports.document import Attempt
    from walkgrade.workflow import is_transcript

    taken_at = asked.taken_at
    if not taken_at and path.is_file() and not is_transcript(path):
        taken_at = (
            datetime.fromtimestamp(path.stat().st_mtime).astimezone().isoformat(timespec="minutes")
        )
    return Attempt(trainee=asked.trainee, group=asked.group, taken_at=taken_at)


def _say_terms(asked: argparse.Namespace, wanted: Terms) -> None:
    assumed = "" if asked.profile else " (assumed; choose with --profile)"
    exits.say(f"Checklist: {wanted.checklist.title} [{wanted.checklist.id}]")
    exits.say(f"Vehicle:   {wanted.profile.title} [{wanted.profile.id}]{assumed}")
