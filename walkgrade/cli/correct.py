"""`walkgrade correct`: an instructor's change of one item, kept with who, when and why.

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
from walkgrade.errors import InputError

if TYPE_CHECKING:
    from walkgrade.reports.document import Document

OUTCOMES = ("complete", "incomplete", "named-only", "missed", "wrong", "needs-listening")

_EXAMPLES = """
walkgrade correct walkgrade-reports/myrun.json engine.oil-level complete --who "J. Ortiz" --why "said at 3:12"
walkgrade correct walkgrade-reports/myrun.json engine.oil-level missed --who J.O. --why "that was the other bus"
"""  # noqa: E501 (examples are typed on one line)

# The page's only player; its address holds the recording or points at it.
_PLAYER = re.compile(r'<audio\b[^>]*\bsrc="([^"]*)"')


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "correct", _act, "change the call on one item of a graded run", _EXAMPLES
    )
    parser.add_argument(
        "document", type=Path, metavar="RUN.json", help="the grade document that grading wrote"
    )
    parser.add_argument("item", metavar="ITEM", help="id of the item, as the report shows it")
    parser.add_argument("outcome", choices=OUTCOMES, help="what you heard")
    parser.add_argument("--who", required=True, metavar="NAME", help="who decides")
    parser.add_argument("--why", required=True, metavar="TEXT", help="why, in a few words")


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.grading.records import Review
    from walkgrade.matching.records import ItemOutcome
    from walkgrade.reports.document import read_document, write_document
    from walkgrade.reports.restore import regrade

    document = read_document(asked.document)
    now = datetime.now().astimezone().isoformat(timespec="seconds")
    review = Review(
        item=asked.item,
        old=ItemOutcome(_current(document, asked.item)),
        new=ItemOutcome(asked.outcome.replace("-", " ")),
        who=asked.who,
        when=now,
        why=asked.why,
    )
    changed = regrade(document, (review,), graded_at=now)
    write_document(asked.document, changed)
    _rewrite_page(asked.document.with_suffix(".html"), changed)
    totals = changed["totals"]
    print(f"{review.item}: {review.old} -> {review.new} ({review.who})")
    print(f"Now {totals['points']} of {totals['points_possible']} points.")
    return exits.OK


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
