"""Write docs/cli.md from the command line's own parser (`make docs`)."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from walkgrade.cli import exits
from walkgrade.cli.main import build_parser

PAGE = Path(__file__).parent / "cli.md"
_HEAD = """# Command line

This page is written by `make docs`; a test fails when it is out of date. What each command is for:
[trainee.md](trainee.md), [instructor.md](instructor.md), [school.md](school.md). What went wrong:
[errors.md](errors.md).

Results go to standard output, messages and progress to standard error. A fault reads
`[code] what came and what was allowed`, then the way out.
"""


def cli_page() -> str:
    """The whole page."""
    parts = [_HEAD, _exit_codes()]
    parts += [_command(parser) for parser in commands(build_parser())]
    return "\n".join(parts)


def commands(parser: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    """Every parser below `parser`, each before the ones below it."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                yield below
                yield from commands(below)


def _exit_codes() -> str:
    rows = "\n".join(f"| {code} | {meaning} |" for code, meaning in exits.MEANINGS)
    return f"## Exit codes\n\n| code | meaning |\n|---|---|\n{rows}\n"


def _command(parser: argparse.ArgumentParser) -> str:
    lines = [f"## {parser.prog}", "", parser.description or "", ""]
    rows = [_row(action) for action in parser._actions if _is_shown(action)]
    if rows:
        lines += ["| word | meaning |", "|---|---|", *rows, ""]
    lines += ["```", *(line.strip() for line in (parser.epilog or "").splitlines()[1:]), "```", ""]
    return "\n".join(lines)


def _is_shown(action: argparse.Action) -> bool:
    return not isinstance(action, argparse._SubParsersAction | argparse._HelpAction)


def _row(action: argparse.Action) -> str:
    names = ", ".join(f"`{name}`" for name in action.option_strings)
    value = action.metavar or ("|".join(map(str, action.choices)) if action.choices else "")
    if action.nargs == 0:
        value = ""
    shown = f"{names} `{value}`" if names and value else names or f"`{value or action.dest}`"
    text = (action.help or "") % {"default": action.default, "prog": ""}
    return "| {} | {} |".format(shown.replace("|", "\\|"), text.replace("|", "\\|"))


if __name__ == "__main__":
    PAGE.write_text(cli_page(), encoding="utf-8")
