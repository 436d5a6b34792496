"""`walkgrade demo`: grade the invented runs that come along.

Public: `add`.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.grade import grade_runs, parse
from walkgrade.cli.words import Commands, command
from walkgrade.errors import InputError

if TYPE_CHECKING:
    from walkgrade.reports.document import Attempt

# The invented trainees of seeds/README.md, with invented dates.
_WHO = {
    "demo-full": ("T-04", "2026-03-06T08:10"),
    "demo-poor": ("T-09", "2026-03-06T08:45"),
    "demo-short": ("T-11", "2026-03-06T09:05"),
}

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


def _attempt(run: Path) -> Attempt:
    from walkgrade.reports.document import Attempt

    trainee, taken_at = _WHO.get(run.stem, ("", ""))
    return Attempt(trainee=trainee, group="Cedar Fork yard (invented)", taken_at=taken_at)


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
    words = [*map(str, runs), "--out", str(asked.out), "--write", "html,json,csv"]
    status = grade_runs(parse([*words, "--profile", "yard-bus-air"]), _attempt)
    if status == exits.OK:
        first = asked.out / f"{runs[0].stem}.html"
        print(f"\nOpen {first.resolve()} in a browser.")
    return status
