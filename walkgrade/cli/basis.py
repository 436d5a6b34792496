"""`walkgrade basis`: the source behind an item, a row or a single requirement.

Public: `add`, `found`.
"""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.words import Commands, command
from walkgrade.errors import InputError

if TYPE_CHECKING:
    from walkgrade.checklists.records import Checklist, Item, Requirement

Hit = tuple["Checklist", "Item", "tuple[Requirement, ...]"]

_EXAMPLES = """
walkgrade basis front-axle.tyre-tread
walkgrade basis front-axle.tyre-tread.depth
walkgrade basis E5
walkgrade basis "oil level"
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "basis", _act, "show the published source behind a requirement", _EXAMPLES
    )
    parser.add_argument(
        "what", metavar="WHAT", help="an item or requirement id, a row (E5, W2, 1.1), or a name"
    )
    parser.add_argument(
        "-c", "--checklist", metavar="NAME", help="look in this one only (default: all shipped)"
    )


def found(what: str, checklists: Iterable[Checklist]) -> Iterator[Hit]:
    """Every item that `what` names (id, row, title, name) with the requirements it points at."""
    wanted = what.strip().lower()
    for checklist in checklists:
        for item in checklist.items:
            titles = {item.id.lower(), item.row.lower(), item.title.lower()}
            if wanted in titles | {name.lower() for name in item.names}:
                yield checklist, item, item.requirements
                continue
            named = tuple(
                one for one in item.requirements if wanted in (one.id.lower(), one.row.lower())
            )
            if named:
                yield checklist, item, named


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.library import find_checklist, list_checklists

    names = (asked.checklist,) if asked.checklist else list_checklists()
    checklists = [find_checklist(name) for name in names]
    hits = list(found(asked.what, checklists))
    if not hits:
        raise InputError(
            "I03",
            f"Nothing in {', '.join(names) or 'the shipped checklists'} is called {asked.what!r}.",
            f"Nearest: {_nearest(asked.what, checklists)}. "
            "All ids: walkgrade checklist show NAME --ids",
        )
    print("\n\n".join(_page(*hit) for hit in hits))
    return exits.OK


def _nearest(what: str, checklists: list[Checklist]) -> str:
    known: set[str] = set()
    for checklist in checklists:
        for item in checklist.items:
            known |= {item.id, item.title, *item.names}
            known |= {requirement.id for requirement in item.requirements}
    return ", ".join(difflib.get_close_matches(what, sorted(known), n=3, cutoff=0.3)) or "none"


def _page(checklist: Checklist, item: Item, requirements: tuple[Requirement, ...]) -> str:
    from walkgrade.checklists.listing import limit_text

    row = f", row {item.row}" if item.row else ""
    lines = [f"{item.title}  ({item.id}{row}, {checklist.id} {checklist.version})"]
    if item.why:
        lines.append(f"  why: {item.why}")
    if item.caution:
        lines.append(f"  caution: {item.caution}")
    for one in requirements:
        row = f", row {one.row}" if one.row and one.row != item.row else ""
        lines.append(f"  {one.id}{row}{'' if one.required else ' (optional)'}")
        lines.append(f"    say:   {one.says}")
        if one.limit:
            lines.append(f"    limit: {one.limit.quantity} {limit_text(one.limit)}")
        for basis in one.basis:
            lines.append(f"    from:  {basis.title}, {basis.section} [{basis.standing}]")
    return "\n".join(lines)
