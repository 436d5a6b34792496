"""The command `walkgrade`: reads its words and hands over to one module a command.

Decides: which commands there are.
Conventions: commands are thin; whatever is heavy to import is imported when a command runs.
Public: `run`, `build_parser`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from walkgrade import __version__
from walkgrade.cli import (
    basis,
    checklist,
    cohort,
    correct,
    demo,
    exits,
    grade,
    models,
    paper,
    record,
    regrade,
    transcribe,
    vehicle,
)
from walkgrade.cli.words import Parser

COMMANDS = (
    record,
    grade,
    correct,
    regrade,
    cohort,
    transcribe,
    checklist,
    vehicle,
    basis,
    paper,
    models,
    demo,
)

_ABOUT = """Grade a recorded, spoken vehicle inspection against a checklist, on this machine only.

Practice evidence for trainee, instructor and school. It is no proof of proficiency, knows no
official pass mark, and does not replace the examiner, your state's manual or a mechanic."""

_AFTER = """start here:
  walkgrade demo                     grade the invented runs that come along
  walkgrade record                   record a run and grade it
  walkgrade grade myrun.m4a          grade a recording of your own
  walkgrade checklist list           what can be graded against
  walkgrade paper                    sheets to print

exit codes:
""" + "\n".join(f"  {code:<4} {meaning}" for code, meaning in exits.MEANINGS)


def build_parser() -> Parser:
    """The whole command line."""
    parser = Parser(
        prog="walkgrade",
        description=_ABOUT,
        epilog=_AFTER,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"walkgrade {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", parser_class=Parser)
    for module in COMMANDS:
        module.add(commands)
    return parser


def run(words: Sequence[str] | None = None) -> int:
    """Run the command line `words` (default: the process's own); return the exit code."""
    words = list(sys.argv[1:] if words is None else words)

    def work() -> int:
        parser = build_parser()
        asked = parser.parse_args(words)
        if not hasattr(asked, "act"):
            parser.print_help()
            return exits.OK
        return int(asked.act(asked))

    return exits.guarded(work, words)
