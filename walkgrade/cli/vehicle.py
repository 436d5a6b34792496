"""`walkgrade vehicle`: answer plain questions about a vehicle, keep the answers as a profile.

Public: `add`.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.words import DEFAULT_CHECKLIST, Commands, command, keep_old
from walkgrade.errors import InputError
from walkgrade.files import write_text

if TYPE_CHECKING:
    from walkgrade.checklists.records import Checklist, VehicleProfile

_EXAMPLES = f"""
walkgrade vehicle bus-14.yaml
walkgrade vehicle bus-14.yaml --checklist {DEFAULT_CHECKLIST} --like yard-bus-lift
walkgrade vehicle bus-14.yaml --replace
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "vehicle", _act, "answer questions about a vehicle, write its profile", _EXAMPLES
    )
    parser.add_argument(
        "file", type=Path, metavar="FILE", help="the vehicle profile to write, such as bus-14.yaml"
    )
    parser.add_argument(
        "-c",
        "--checklist",
        default=DEFAULT_CHECKLIST,
        metavar="NAME",
        help="the checklist whose questions are asked (default: %(default)s)",
    )
    parser.add_argument(
        "--like",
        metavar="NAME",
        help="a vehicle profile whose answers are offered first (default: the usual answers, "
        "or with --replace those of the file itself)",
    )
    parser.add_argument(
        "--replace", action="store_true", help="write over a profile that is there already"
    )


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.library import find_checklist, find_profile

    place: Path = asked.file
    if place.suffix not in (".yaml", ".yml"):
        place = place.with_name(f"{place.name}.yaml")
    keep_old(place, replace=asked.replace)
    checklist = find_checklist(asked.checklist)
    model = asked.like or (str(place) if place.exists() else "")
    like = find_profile(model) if model else None
    try:
        profile = _talk(checklist, like, place)
    except KeyboardInterrupt:
        exits.say("\nStopped. Nothing was written.")
        return exits.INTERRUPTED
    except EOFError as error:
        raise InputError(
            "I10",
            "The answers ended before the last question; nothing was written.",
            "Run it again in a terminal. Enter takes the answer offered.",
        ) from error
    return _keep(profile, checklist, place)


def _talk(checklist: Checklist, like: VehicleProfile | None, place: Path) -> VehicleProfile:
    from walkgrade.checklists.interview import interview, offers, profile_id
    from walkgrade.checklists.records import VehicleProfile

    print(f"A vehicle for: {checklist.title}. {len(checklist.profile_keys)} questions.")
    print("Enter takes the answer offered, ? says how to see it, back goes one question back,")
    print("Ctrl-C stops and writes nothing. When you go and look:")
    for caution in checklist.cautions:
        print(f"  - {caution}")
    title = like.title if like and place.exists() else place.stem
    said = input(f"\nWhat do you call this vehicle? Enter = {title} > ")
    said = " ".join("".join(letter for letter in said if letter.isprintable()).split())
    answers = interview(checklist, offers(checklist, like), input, print)
    return VehicleProfile(
        id=profile_id(place.stem), title=said or title, fitted=tuple(answers.items())
    )


def _keep(profile: VehicleProfile, checklist: Checklist, place: Path) -> int:
    from walkgrade.checklists.applicable import applicable
    from walkgrade.checklists.interview import profile_text

    items = len(applicable(checklist, profile).items)
    write_text(place, profile_text(profile, checklist))
    print(f"\nwritten: {place}")
    print(f"{items} of {len(checklist.items)} items of {checklist.id} are asked of this vehicle.")
    chosen = "" if checklist.id == DEFAULT_CHECKLIST else f" --checklist {checklist.id}"
    print(f"Use it: walkgrade grade RUN{chosen} --profile {place}")
    return exits.OK
