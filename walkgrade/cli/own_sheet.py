"""`walkgrade checklist template`, `import` and `export`: a school's own sheet.

Public: `add_actions`.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.words import DEFAULT_CHECKLIST, Commands, command, keep_old, minutes

if TYPE_CHECKING:
    from walkgrade.checklists.sheet_draft import Terms

_SHOWN = 12


def add_actions(actions: Commands) -> None:
    """Add the three actions to `walkgrade checklist`."""
    template = command(
        actions,
        "template",
        _template,
        "write an empty sheet to fill in with your own list",
        "walkgrade checklist template\nwalkgrade checklist template our-sheet.xlsx",
    )
    template.add_argument(
        "file",
        nargs="?",
        type=Path,
        default=Path("our-sheet.csv"),
        metavar="FILE",
        help="a name that ends in .csv or .xlsx (default: %(default)s)",
    )
    _add_import(actions)
    export = command(
        actions,
        "export",
        _export,
        "write a checklist as a sheet",
        f"walkgrade checklist export {DEFAULT_CHECKLIST} classic.csv\n"
        "walkgrade checklist export our-bus.yaml our-bus.xlsx",
    )
    export.add_argument("name", help="a shipped name or a YAML file")
    export.add_argument("file", type=Path, metavar="FILE", help="a name that ends in .csv or .xlsx")
    for parser in (template, export):
        parser.add_argument(
            "--replace", action="store_true", help="write over a file that is there already"
        )


def _add_import(actions: Commands) -> None:
    parser = command(
        actions,
        "import",
        _import,
        "make a checklist of a filled-in sheet, and list what you must decide",
        "walkgrade checklist import our-sheet.csv\n"
        'walkgrade checklist import our-sheet.xlsx --out our-bus.yaml --title "Our bus"',
    )
    parser.add_argument("sheet", type=Path, metavar="SHEET", help="the sheet, .csv or .xlsx")
    parser.add_argument(
        "-o",
        "--out",
        type=Path,
        metavar="FILE",
        help="the checklist to write (default: the sheet's name with .yaml, in this folder); the "
        "list of decisions lies beside it and ends in .decide.txt",
    )
    parser.add_argument(
        "--like",
        default=DEFAULT_CHECKLIST,
        metavar="NAME",
        help="the checklist that lends places, cautions and what a vehicle may have "
        "(default: %(default)s)",
    )
    parser.add_argument("--title", metavar="TEXT", help="title of the list")
    parser.add_argument(
        "--minutes",
        type=minutes,
        metavar="MINUTES",
        help="time for the whole run; sections without minutes share what is left "
        "(default: 15 seconds an item)",
    )
    parser.add_argument(
        "--replace", action="store_true", help="write over files that are there already"
    )


def _template(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.sheet_file import write_table
    from walkgrade.checklists.sheet_out import template_rows

    keep_old(asked.file, replace=asked.replace)
    print(f"written: {write_table(asked.file, template_rows())}")
    return exits.OK


def _export(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.library import find_checklist
    from walkgrade.checklists.sheet_file import write_table
    from walkgrade.checklists.sheet_out import sheet_rows

    keep_old(asked.file, replace=asked.replace)
    rows = sheet_rows(find_checklist(asked.name))
    print(f"written: {write_table(asked.file, rows)} ({len(rows) - 1} rows)")
    return exits.OK


def _import(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.sheet_file import read_table
    from walkgrade.checklists.sheet_in import import_sheet
    from walkgrade.checklists.sheet_list import decisions_text, grouped
    from walkgrade.files import write_text
    from walkgrade.reports.wording import plural

    place = asked.out or Path(f"{asked.sheet.stem}.yaml")
    beside = place.with_suffix(".decide.txt")
    keep_old(place, beside, replace=asked.replace)
    made = import_sheet(read_table(asked.sheet), _terms(asked, place))
    told = decisions_text(made.decisions, asked.sheet.name, place.name)
    print(f"written: {write_text(place, made.text)} ({len(made.checklist.items)} items)")
    print(f"written: {write_text(beside, told)}")
    waiting = grouped([one for one in made.decisions if one.asks])
    print(f"\n{plural(len(waiting), 'thing')} to decide; {beside} lists them all.")
    for rows, where, one in waiting[:_SHOWN]:
        print(f"  {rows}: {where}: {one.what} [{one.sure}]: {one.took}")
    if len(waiting) > _SHOWN:
        print(f"  ... and {len(waiting) - _SHOWN} more")
    print(f"Next: walkgrade checklist check {place}")
    return exits.OK


def _terms(asked: argparse.Namespace, place: Path) -> Terms:
    from fractions import Fraction

    from walkgrade.checklists.library import find_checklist, shipped_parts
    from walkgrade.checklists.sheet_draft import Terms, slug
    from walkgrade.checklists.sheet_links import known_parts
    from walkgrade.language.plain import heard_in

    like = find_checklist(asked.like)
    return Terms(
        id=slug(place.stem, "own-sheet"),
        title=asked.title or place.stem,
        like=like,
        parts=known_parts(shipped_parts(), like),
        hear=lambda text: heard_in(text, like),
        minutes=None if asked.minutes is None else Fraction(asked.minutes, 60),
    )
