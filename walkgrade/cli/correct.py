"""`walkgrade correct`: an instructor's changes of items, kept with who, when and why.

Public: `add`.
"""

from __future__ import annotations

import argparse
import difflib
import html
import re
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.words import Commands, command
from walkgrade.errors import InputError, WalkgradeError

if TYPE_CHECKING:
    from walkgrade.grading.records import Review
    from walkgrade.reports.document import Document
    from walkgrade.school.gather import LeftOut

OUTCOMES = ("complete", "incomplete", "named-only", "missed", "wrong", "needs-listening")

_EXAMPLES = """
walkgrade correct walkgrade-reports/myrun.json engine.oil-level complete --who "J. Ortiz" --why "said at 3:12"
walkgrade correct walkgrade-reports/myrun.json engine.oil-level missed --who J.O. --why "that was the other bus"
walkgrade correct --from corrections.csv friday-reports
"""  # noqa: E501 (examples are typed on one line)

# The page's only player; its address holds the recording or points at it.
_PLAYER = re.compile(r'<audio\b[^>]*\bsrc="([^"]*)"')


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands,
        "correct",
        _act,
        "change the call on one item of a graded run, or on many",
        _EXAMPLES,
    )
    parser.add_argument(
        "document",
        type=Path,
        metavar="RUN.json",
        help="the grade document that grading wrote; with --from the folder of all of them",
    )
    parser.add_argument(
        "item", nargs="?", metavar="ITEM", help="id of the item, as the report shows it"
    )
    parser.add_argument("outcome", nargs="?", choices=OUTCOMES, help="what you heard")
    parser.add_argument("--who", metavar="NAME", help="who decides")
    parser.add_argument("--why", metavar="TEXT", help="why, in a few words")
    parser.add_argument(
        "--from",
        dest="file",
        type=Path,
        metavar="FILE",
        help="apply every correction in this CSV or YAML file (attempt, item, outcome, who, when, "
        "why) to the runs in the folder",
    )


def _act(asked: argparse.Namespace) -> int:
    words = {name: getattr(asked, name) for name in ("item", "outcome", "who", "why")}
    if asked.file:
        given = [name for name, value in words.items() if value]
        if given:
            raise InputError(
                "I01",
                f"--from brings its own {', '.join(given)}.",
                "Give FILE and the folder only: walkgrade correct --from FILE FOLDER",
            )
        return _apply(asked.file, asked.document)
    missing = [name for name, value in words.items() if not value]
    if missing:
        raise InputError(
            "I01",
            f"the following arguments are required: {', '.join(missing)}.",
            "See: walkgrade correct --help",
        )
    return _change(asked)


def _change(asked: argparse.Namespace) -> int:
    from walkgrade.grading.records import Review
    from walkgrade.matching.records import ItemOutcome
    from walkgrade.reports.document import read_document

    document = read_document(asked.document)
    now = _now()
    review = Review(
        item=asked.item,
        old=ItemOutcome(_current(document, asked.item)),
        new=ItemOutcome(asked.outcome.replace("-", " ")),
        who=asked.who,
        when=now,
        why=asked.why,
    )
    _keep(asked.document, document, (review,), now)
    return exits.OK


def _apply(file: Path, folder: Path) -> int:
    """Apply a file of corrections to a folder of runs; nothing is changed if it has a fault."""
    from walkgrade.reports.document import read_document
    from walkgrade.reports.wording import plural
    from walkgrade.school.corrections import plan, read_corrections, runs_of
    from walkgrade.school.gather import documents

    corrections, now = read_corrections(file), _now()
    left_out: list[LeftOut] = []
    runs = tuple(runs_of(documents(folder, left_out)))
    for left in left_out:
        exits.say(f"[{left.code}] not looked at: {left.file}: {left.why}")
    todo = plan(file.name, corrections, runs, now)
    failures = [exits.SOME_FAILED] if any(left.broken for left in left_out) else []
    for place, reviews in todo.reviews.items():
        try:
            print(f"{place.name}:")
            _keep(place, read_document(place), reviews, now)
        except WalkgradeError as error:
            failures.append(exits.report(error, place.name))
    done = sum(map(len, todo.reviews.values()))
    print(
        f"{plural(done, 'change')} in {plural(len(todo.reviews), 'run')}, "
        f"{todo.already} already there."
    )
    return max(failures, default=exits.OK)


def _keep(place: Path, document: Document, reviews: tuple[Review, ...], now: str) -> None:
    """Write the document with `reviews`, and anew what lies beside it; tell what changed."""
    from walkgrade.reports.document import write_document
    from walkgrade.reports.restore import regrade
    from walkgrade.reports.tables import write_items_csv

    changed = regrade(document, reviews, graded_at=now)
    write_document(place, changed)
    _rewrite_page(place.with_suffix(".html"), changed)
    if place.with_suffix(".csv").is_file():
        write_items_csv(place.with_suffix(".csv"), changed)
        print(f"written: {place.with_suffix('.csv')}")
    for review in reviews:
        print(f"{review.item}: {review.old} -> {review.new} ({review.who})")
    totals = changed["totals"]
    print(f"Now {totals['points']} of {totals['points_possible']} points.")


def _now() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


def _current(document: Document, item: str) -> str:
    """What the document says of `item`.

    Raises
    ------
    InputError I07 : the run has no such item.
    """
    outcomes = {row["id"]: str(row["outcome"]) for row in document["items"]}
    if item not in outcomes:
        near = difflib.get_close_matches(item, outcomes, n=3, cutoff=0.4)
        raise InputError(
            "I07",
            f"This run has no item {item!r}.",
            f"Nearest: {', '.join(near) or 'none'}. The report shows the id of every item.",
        )
    return outcomes[item]


def _rewrite_page(page: Path, document: Document) -> None:
    """Make the page beside the document anew, with the recording it had."""
    from walkgrade.reports.page import write_page

    if not page.is_file():
        return
    player = _PLAYER.search(page.read_text(encoding="utf-8", errors="replace"))
    address = html.unescape(player[1]) if player else ""
    write_page(page, document, audio=address, embedded=address.startswith("data:"))
    print(f"written: {page}")
