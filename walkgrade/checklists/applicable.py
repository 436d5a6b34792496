"""The part of a checklist that applies to one vehicle.

Decides: which items and requirements a vehicle profile switches off.
Conventions: pure; an item left without a required requirement is switched off too; steps of a
procedure are counted anew from 1; carry-over to items that are switched off is dropped.
Public: `applicable`, `check_profile`.
"""

from __future__ import annotations

from dataclasses import replace

from rapidfuzz import process

from walkgrade.checklists.faults import refuse
from walkgrade.checklists.records import Checklist, Item, VehicleProfile
from walkgrade.errors import Fault


def applicable(checklist: Checklist, profile: VehicleProfile) -> Checklist:
    """Return `checklist` without what `profile` lacks; the profile is checked first.

    Raises
    ------
    FaultyFileError : C05, see `check_profile`.
    """
    check_profile(profile, checklist)
    kept = [item for item in (_fitted(item, profile) for item in checklist.items) if item]
    present = {item.id for item in kept}
    steps: dict[str, int] = {}
    items: list[Item] = []
    for item in kept:
        step = 0
        if item.step:
            step = steps[item.section] = steps.get(item.section, 0) + 1
        carry = tuple(other for other in item.carry_over if other in present)
        items.append(replace(item, step=step, carry_over=carry))
    used = {item.section for item in items}
    sections = tuple(section for section in checklist.sections if section.id in used)
    return replace(checklist, items=tuple(items), sections=sections)


def check_profile(profile: VehicleProfile, checklist: Checklist) -> None:
    """Refuse a profile that contradicts the checklist.

    Raises
    ------
    FaultyFileError : C05 with every unknown key, value that is not allowed, and missing key.
    """
    allowed = {rule.key: rule.values for rule in checklist.profile_keys}
    stated = dict(profile.fitted)
    faults = [
        _fault(profile, key, _unknown(key, tuple(allowed))) for key in stated.keys() - allowed
    ]
    for key, values in allowed.items():
        words = ", ".join(values)
        if key not in stated:
            faults.append(_fault(profile, key, f"missing; state one of: {words}"))
        elif stated[key] not in values:
            faults.append(_fault(profile, key, f"{stated[key]!r} is not one of: {words}"))
    if faults:
        raise refuse(
            "C05",
            f"Vehicle profile {profile.id} for checklist {checklist.id}",
            faults,
            "A profile states every key under `profile_keys` of its checklist, and no other.",
        )


def _fitted(item: Item, profile: VehicleProfile) -> Item | None:
    if not profile.has(item.if_fitted):
        return None
    kept = tuple(req for req in item.requirements if profile.has(req.if_fitted))
    return replace(item, requirements=kept) if any(req.required for req in kept) else None


def _fault(profile: VehicleProfile, key: str, message: str) -> Fault:
    return Fault(file=profile.id, line=0, path=f"fitted.{key}", message=message)


def _unknown(key: str, known: tuple[str, ...]) -> str:
    near = process.extractOne(key, known, score_cutoff=60)
    return "the checklist knows no such key" + (f"; did you mean {near[0]}?" if near else "")
