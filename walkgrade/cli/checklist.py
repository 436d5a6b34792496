"""`walkgrade checklist`: list, show and check checklists; more actions in
`compare` and `own_sheet`.

Public: `add`.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from walkgrade.cli import compare, exits, own_sheet
from walkgrade.cli.words import DEFAULT_CHECKLIST, Commands, Parser, command
from walkgrade.errors import WalkgradeError

if TYPE_CHECKING:
    from walkgrade.checklists.records import Checklist

_EXAMPLES = f"""
walkgrade checklist list
walkgrade checklist show {DEFAULT_CHECKLIST}
walkgrade checklist show {DEFAULT_CHECKLIST} --ids
walkgrade checklist check our-bus.yaml
"""


def add(commands: Commands) -> None:
    """Add the command and its three actions."""
    parser = command(
        commands, "checklist", _help, "list, show, check or make checklists and vehicles", _EXAMPLES
    )
    parser.set_defaults(help_of=parser)
    actions = parser.add_subparsers(title="actions", metavar="ACTION", parser_class=Parser)
    command(
        actions,
        "list",
        _list,
        "name every shipped checklist and vehicle",
        "walkgrade checklist list",
    )
    show = command(
        actions,
        "show",
        _show,
        "print a checklist as a sheet to learn from",
        f"walkgrade checklist show {DEFAULT_CHECKLIST} --profile NAME",
    )
    show.add_argument("name", help="a shipped name or a YAML file")
    show.add_argument("-p", "--profile", metavar="NAME", help="leave out what this vehicle lacks")
    show.add_argument(
        "--ids", action="store_true", help="with the ids, names and limits that graders use"
    )
    check = command(
        actions,
        "check",
        _check,
        "read checklist or vehicle files and name every fault in them",
        "walkgrade checklist check our-bus.yaml\n"
        "walkgrade checklist check our-bus.yaml --advice\n"
        "walkgrade checklist check our-bus.yaml --profile our-vehicle.yaml",
    )
    check.add_argument("files", nargs="+", metavar="FILE", help="a YAML file or a shipped name")
    check.add_argument("-p", "--profile", metavar="NAME", help="check this vehicle against it too")
    check.add_argument(
        "--advice",
        action="store_true",
        help="tell too what is allowed but will probably surprise, why, and how to mend it",
    )
    compare.add_action(actions)
    own_sheet.add_actions(actions)


def _help(asked: argparse.Namespace) -> int:
    asked.help_of.print_help()
    return exits.OK


def _list(asked: argparse.Namespace) -> int:
    del asked
    from walkgrade.checklists.library import (
        find_checklist,
        find_profile,
        list_checklists,
        list_overlays,
        list_profiles,
    )

    print("Checklists (--checklist):")
    for name in (*list_checklists(), *list_overlays()):
        found = find_checklist(name)
        print(f"  {name:<33} {found.title}: {len(found.items)} items, {found.budget_s // 60} min")
    print("\nVehicles (--profile):")
    for name in list_profiles():
        print(f"  {name:<33} {find_profile(name).title}")
    return exits.OK


def _show(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.applicable import applicable
    from walkgrade.checklists.library import find_checklist, find_profile
    from walkgrade.checklists.listing import describe

    checklist = find_checklist(asked.name)
    if asked.profile:
        checklist = applicable(checklist, find_profile(asked.profile))
    print(describe(checklist, ids=asked.ids), end="")
    return exits.OK


def _check(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.applicable import check_profile
    from walkgrade.checklists.library import find_checklist, find_profile

    failures = []
    for name in asked.files:
        try:
            checklist = find_checklist(name)
            if asked.profile:
                check_profile(find_profile(asked.profile), checklist)
        except WalkgradeError as error:
            failures.append(exits.report(error, name))
        else:
            print(f"{name}: good ({len(checklist.items)} items)")
            if asked.advice:
                _advise(checklist)
    return exits.joint(failures, len(asked.files))


def _advise(checklist: Checklist) -> None:
    from walkgrade.checklists.advice import advice, advice_text
    from walkgrade.checklists.library import shipped_parts
    from walkgrade.checklists.sheet_links import known_parts

    found = advice(checklist, known_parts(shipped_parts()))
    print(advice_text(found) or "Nothing in it will surprise.")
