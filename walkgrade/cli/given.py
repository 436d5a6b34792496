"""From the words of a command to what a run is graded against.

Decides: which vehicle is meant when none is named.
Conventions: imports stay inside the functions, so that help is shown at once.
Public: `chosen`, `terms`, `usual_profile`.
"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from walkgrade.errors import ChecklistError, InputError

if TYPE_CHECKING:
    from walkgrade.checklists.records import Checklist, VehicleProfile
    from walkgrade.workflow import Terms


def chosen(asked: argparse.Namespace) -> tuple[Checklist, VehicleProfile]:
    """Checklist and vehicle named on the command line; the vehicle fits the checklist."""
    from walkgrade.checklists.applicable import check_profile
    from walkgrade.checklists.library import find_checklist, find_profile

    checklist = find_checklist(asked.checklist)
    if not asked.profile:
        return checklist, usual_profile(checklist)
    profile = find_profile(asked.profile)
    check_profile(profile, checklist)
    return checklist, profile


def terms(asked: argparse.Namespace) -> Terms:
    """Checklist, vehicle and the school's settings named on the command line."""
    from walkgrade.workflow import Terms

    checklist, profile = chosen(asked)
    return Terms(
        checklist=checklist,
        profile=profile,
        target=getattr(asked, "target", None),
        budget_s=getattr(asked, "budget", None),
    )


def usual_profile(checklist: Checklist) -> VehicleProfile:
    """The shipped vehicle that fits `checklist` and whose name is nearest to it.

    Raises
    ------
    InputError I02 : no shipped vehicle fits; one must be named.
    """
    from rapidfuzz import fuzz

    from walkgrade.checklists.applicable import check_profile
    from walkgrade.checklists.library import find_profile, list_profiles

    names = sorted(list_profiles(), key=lambda name: (-fuzz.ratio(name, checklist.id), name))
    for name in names:
        profile = find_profile(name)
        try:
            check_profile(profile, checklist)
        except ChecklistError:
            continue
        return profile
    raise InputError(
        "I02",
        f"No shipped vehicle fits the checklist {checklist.id}.",
        "Write one (docs/checklist-format.md) and name it with --profile.",
    )
