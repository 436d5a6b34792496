"""Every shipped checklist with every shipped vehicle that fits it; texts without white space."""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from walkgrade.checklists.applicable import applicable, check_profile
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    list_checklists,
    list_profiles,
)
from walkgrade.checklists.records import Checklist, VehicleProfile
from walkgrade.errors import ChecklistError


@cache
def checklist(name: str) -> Checklist:
    return find_checklist(name)


@cache
def profile(name: str) -> VehicleProfile:
    return find_profile(name)


def _fit(name: str, vehicle: str) -> bool:
    try:
        check_profile(profile(vehicle), checklist(name))
    except ChecklistError:
        return False
    return True


PAIRS = [(one, two) for one in list_checklists() for two in list_profiles() if _fit(one, two)]
CLASSIC = ("school-bus-air-classic", "yard-bus-air")


@cache
def fitted(name: str, vehicle: str) -> Checklist:
    """What applies to the vehicle: what a sheet must hold."""
    return applicable(checklist(name), profile(vehicle))


def tight(text: str) -> str:
    """`text` without white space and ligatures, so that line ends and fonts do not matter."""
    return re.sub(r"\s+", "", unicodedata.normalize("NFKC", text))
