"""`walkgrade checklist compare`: what changes for trainees between two versions.

Public: `add_action`, `show`.
"""

from __future__ import annotations

import argparse
import json
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.words import DEFAULT_CHECKLIST, Commands, command

if TYPE_CHECKING:
    from walkgrade.checklists.differences import Change


def add_action(actions: Commands) -> None:
    """Add the action to `walkgrade checklist`."""
    parser = command(
        actions,
        "compare",
        _act,
        "say in plain words what changes from one checklist to another",
        f"walkgrade checklist compare {DEFAULT_CHECKLIST} school-bus-air-california\n"
        "walkgrade checklist compare our-bus-2025.yaml our-bus.yaml --profile yard-bus-air --all",
    )
    parser.add_argument("old", help="a shipped name or a YAML file")
    parser.add_argument("new", help="a shipped name or a YAML file")
    parser.add_argument("-p", "--profile", metavar="NAME", help="for this vehicle only")
    parser.add_argument(
        "--all", action="store_true", help="tell changes of wording, names and sources too"
    )
    parser.add_argument("--json", action="store_true", help="print everything as JSON")


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.applicable import applicable
    from walkgrade.checklists.differences import FOR_RECORD, as_data, changes_between
    from walkgrade.checklists.library import find_checklist, find_profile

    old, new = find_checklist(asked.old), find_checklist(asked.new)
    if asked.profile:
        profile = find_profile(asked.profile)
        old, new = applicable(old, profile), applicable(new, profile)
    changes = changes_between(old, new)
    if asked.json:
        print(json.dumps(as_data(old, new, changes), ensure_ascii=False, indent=1))
        return exits.OK
    print(f"From {old.title} ({old.id} {old.version})\nto   {new.title} ({new.id} {new.version})")
    shown = tuple(one for one in changes if asked.all or one.kind not in FOR_RECORD)
    print(show(shown) or "\nNothing changes for trainees.")
    if len(shown) < len(changes):
        print(f"\n{len(changes) - len(shown)} more of wording, names or sources; --all shows them.")
    return exits.OK


def show(changes: tuple[Change, ...]) -> str:
    """Changes under a heading for each kind."""
    lines: list[str] = []
    kind = ""
    for change in changes:
        if change.kind != kind:
            kind = change.kind
            count = sum(one.kind == kind for one in changes)
            lines += ["", f"{kind.capitalize()} ({count})"]
        lines.append(f"  {change.text}")
    return "\n".join(lines)
