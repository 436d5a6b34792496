"""The command line's words: how a parser is made, and the options several commands share.

Decides: names, defaults and help of shared options, and how a misspelt word reads.
Conventions: every command has a one-line summary and worked examples; options are long names,
with a letter only where it is typed often. Nothing heavy is imported here.
Public: `Parser`, `command`, `add_checklist`, `add_hearing`, `add_output`, `add_kinds`,
`keep_old`, `minutes`, `percent`.
"""

from __future__ import annotations

import argparse
import difflib
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

from walkgrade.errors import InputError

DEFAULT_CHECKLIST = "school-bus-air-classic"
DEFAULT_MODEL = "trade"
DEFAULT_OUT = "walkgrade-reports"

Commands = Any  # argparse keeps the type of its sub-parser collection private
Act = Callable[[argparse.Namespace], int]


class Parser(argparse.ArgumentParser):
    """A parser whose faults are `InputError`s and that guesses what was meant."""

    def error(self, message: str) -> NoReturn:
        """Raise the fault argparse would have printed (code I01)."""
        raise InputError("I01", f"{message}.{self._guess(message)}", f"See: {self.prog} --help")

    def known(self) -> set[str]:
        """Every command and option of this parser and of the parsers below it."""
        words = set(self._option_string_actions)
        for action in self._subparsers._group_actions if self._subparsers else ():
            choices: Any = action.choices or {}
            for name, parser in choices.items():
                words |= {name, *parser.known()}
        return words

    def _guess(self, message: str) -> str:
        """`` Did you mean ...?`` for a misspelt command or option, else nothing."""
        known = self.known()
        for word in re.findall(r"[\w-]+", message):
            alike = sorted(one for one in known if one.startswith("-") == word.startswith("-"))
            near = difflib.get_close_matches(word, alike, n=1, cutoff=0.7)
            if near and word not in known:
                return f" Did you mean {near[0]!r}?"
        return ""


def command(commands: Commands, name: str, act: Act, summary: str, examples: str) -> Parser:
    """Add the command `name`; `examples` is shown under its options."""
    parser: Parser = commands.add_parser(
        name,
        help=summary,
        description=summary[0].upper() + summary[1:] + ".",
        epilog="examples:\n" + "\n".join(f"  {line}" for line in examples.strip().splitlines()),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.set_defaults(act=act)
    return parser


def add_checklist(parser: argparse.ArgumentParser) -> None:
    """Which checklist and which vehicle."""
    group = parser.add_argument_group("what is graded against what")
    group.add_argument(
        "-c",
        "--checklist",
        default=DEFAULT_CHECKLIST,
        metavar="NAME",
        help="a shipped checklist or a YAML file of your own (default: %(default)s)",
    )
    group.add_argument(
        "-p",
        "--profile",
        metavar="NAME",
        help="what this vehicle has: a shipped vehicle profile or a YAML file "
        "(default: the checklist's usual vehicle)",
    )


def add_hearing(parser: argparse.ArgumentParser) -> None:
    """How speech is recognised."""
    group = parser.add_argument_group("recognising speech")
    group.add_argument(
        "--model",
        default=DEFAULT_MODEL,
        metavar="NAME",
        help="trade, trade.en, tiny.en, base, or the folder of a CTranslate2 Whisper model "
        "(default: %(default)s)",
    )
    group.add_argument(
        "--allow-download",
        action="store_true",
        help="let --model name a model on the hub and fetch it once; "
        "without this walkgrade never uses the network",
    )
    group.add_argument(
        "--device",
        default="cpu",
        choices=("cpu", "cuda", "auto"),
        help="where the recogniser computes (default: %(default)s)",
    )
    group.add_argument(
        "--fresh", action="store_true", help="recognise again even if this file was heard before"
    )
    group.add_argument(
        "--cache",
        type=Path,
        metavar="FOLDER",
        help="where recognised speech and unfinished work are kept (default: your cache folder)",
    )


def add_output(parser: argparse.ArgumentParser, default: str = DEFAULT_OUT) -> None:
    """Where results go."""
    parser.add_argument(
        "-o",
        "--out",
        type=Path,
        default=Path(default),
        metavar="FOLDER",
        help="folder for the files written (default: %(default)s)",
    )


def add_kinds(
    parser: argparse._ActionsContainer,
    known: Mapping[str, str],
    usual: Sequence[str],
    *,
    default: Sequence[str] | None,
) -> None:
    """Which kinds of file are written: `known` says what each is, `usual` the ones by default.

    Parameters
    ----------
    default : what the command is given when nothing was asked; None where it chooses itself.
    """
    parser.add_argument(
        "--write",
        type=_kinds_among(tuple(known)),
        default=default,
        metavar="KINDS",
        help="files to write, joined by commas: "
        + "; ".join(f"{name}: {what}" for name, what in known.items())
        + f"; none (default: {','.join(usual)})",
    )


def _kinds_among(known: tuple[str, ...]) -> Callable[[str], tuple[str, ...]]:
    def kinds(text: str) -> tuple[str, ...]:
        asked = tuple(word.strip() for word in text.split(",") if word.strip())
        if asked == ("none",):
            return ()
        unknown = [word for word in asked if word not in known]
        if unknown or not asked:
            raise argparse.ArgumentTypeError(
                f"{', '.join(unknown) or 'nothing'!r} is not a kind of file; "
                f"known are {', '.join(known)} and none"
            )
        return tuple(dict.fromkeys(asked))

    return kinds


def keep_old(*places: Path, replace: bool) -> None:
    """Refuse to write over what is there, unless that was asked.

    Raises
    ------
    InputError I09 : one of `places` exists and `replace` is False.
    """
    for place in places:
        if place.exists() and not replace:
            raise InputError(
                "I09",
                f"{place} is there already.",
                "Choose another name, or add --replace to write over it.",
            )


def minutes(text: str) -> int:
    """A time budget in whole seconds from minutes such as ``30`` or ``7.5``, over 0 to 240."""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 < value <= 240:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of minutes over 0 up to 240")
    return round(value * 60)


def percent(text: str) -> int:
    """A whole percentage 0..100."""
    if not text.isascii() or not text.isdigit() or int(text) > 100:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 0 to 100")
    return int(text)
