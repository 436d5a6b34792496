"""`walkgrade demo`: grade the invented runs that come along.

Public: `add`.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from walkgrade.cli import exits
from walkgrade.cli.grade import grade_words
from walkgrade.cli.words import Commands, command
from walkgrade.errors import InputError

_EXAMPLES = """
walkgrade demo
walkgrade demo --out somewhere-else
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(commands, "demo", _act, "grade the invented runs that come along", _EXAMPLES)
    parser.add_argument(
        "-o",
        "--out",
        type=Path,
        default=Path("walkgrade-demo"),
        metavar="FOLDER",
        help="folder for the reports (default: %(default)s)",
    )


def demo_runs() -> tuple[Path, ...]:
    """The demo's recordings: inside an installed package, or in `seeds/` of the source tree.

    Raises
    ------
    InputError I06 : they are not there.
    """
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "demo_runs", package.parent / "seeds" / "recordings"):
        runs = sorted(folder.glob("demo-*.opus")) + sorted(folder.glob("demo-*.ogg"))
        if runs:
            return tuple(runs)
    raise InputError(
        "I06", "The demo's recordings are not installed.", "Install walkgrade again, with its data."
    )


def _act(asked: argparse.Namespace) -> int:
    runs = demo_runs()
    exits.say(f"{len(runs)} invented runs, spoken by synthetic voices. The first listen takes a")
    exits.say("while; what was heard is kept, so a second demo is quick.\n")
    status = grade_words([*map(str, runs), "--out", str(asked.out), "--write", "html,json,csv"])
    if status == exits.OK:
        first = asked.out / f"{runs[0].stem}.html"
        print(f"\nOpen {first.resolve()} in a browser.")
    return status
