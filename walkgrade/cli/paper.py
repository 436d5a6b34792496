"""`walkgrade paper`: a checklist for the clipboard, for learning, and its numbers on one page.

Public: `add`.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from walkgrade.cli import exits
from walkgrade.cli.given import chosen
from walkgrade.cli.words import (
    DEFAULT_CHECKLIST,
    Commands,
    add_checklist,
    add_kinds,
    add_output,
    command,
)
from walkgrade.files import ready_folder, write_bytes, write_text

KINDS = {"html": "pages that open and print anywhere", "pdf": "the same as PDF"}
# The words of `walkgrade.paper.records.Kind`; help must be shown without loading it (tested).
SHEETS = {
    "clipboard": "the instructor's sheet: boxes for all that must be said, numbers, remarks, clock",
    "study": "the trainee's sheet: part, what to say, number, why it matters, caution",
    "numbers": "every number with its source, on one page",
}

_EXAMPLES = f"""
walkgrade paper
walkgrade paper clipboard --trainee T-07 --date 2026-03-06 --size a4
walkgrade paper study numbers --checklist {DEFAULT_CHECKLIST} --profile yard-bus-lift
walkgrade paper --checklist our-bus.yaml --profile our-vehicle.yaml --write pdf
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "paper", _act, "write sheets to print: clipboard, study, numbers", _EXAMPLES
    )
    parser.add_argument(
        "sheets",
        nargs="*",
        type=_sheet,
        metavar="SHEET",
        help="; ".join(f"{name}: {what}" for name, what in SHEETS.items()) + " (default: all)",
    )
    add_checklist(parser)
    group = parser.add_argument_group("what is printed on them (default: a line to write on)")
    group.add_argument("--trainee", default="", metavar="WHO", help="the trainee's code or name")
    group.add_argument("--instructor", default="", metavar="WHO", help="who holds the clipboard")
    group.add_argument("--date", default="", metavar="DATE", help="the date, in any form")
    group.add_argument("--vehicle", default="", metavar="NUMBER", help="the number of the vehicle")
    parser.add_argument(
        "--size",
        choices=("letter", "a4"),
        default="letter",
        help="paper of the PDF; pages take the printer's (default: %(default)s)",
    )
    add_output(parser, "walkgrade-paper")
    add_kinds(parser, KINDS, tuple(KINDS), default=tuple(KINDS))


def _sheet(text: str) -> str:
    if text not in SHEETS:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no sheet; there are {', '.join(SHEETS)} (a checklist is named with "
            "--checklist)"
        )
    return text


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.paper.content import sheet_of
    from walkgrade.paper.page import render_html
    from walkgrade.paper.pdf import render_pdf
    from walkgrade.paper.records import Kind, Names

    checklist, profile = chosen(asked)
    names = Names(
        trainee=asked.trainee, instructor=asked.instructor, date=asked.date, vehicle=asked.vehicle
    )
    if asked.write:
        ready_folder(asked.out)
    exits.say(f"Checklist: {checklist.title} [{checklist.id}]")
    exits.say(f"Vehicle:   {profile.title} [{profile.id}]")
    for kind in asked.sheets or SHEETS:
        sheet = sheet_of(Kind(kind), checklist, profile, names)
        place: Path = asked.out / f"{checklist.id}-{profile.id}-{kind}"
        if "html" in asked.write:
            print(write_text(place.with_name(f"{place.name}.html"), render_html(sheet)))
        if "pdf" in asked.write:
            data = render_pdf(sheet, size=asked.size)
            print(write_bytes(place.with_name(f"{place.name}.pdf"), data))
    return exits.OK
