"""Checks every script's labels against its checklist and prints what each run is worth.

    python -m seeds.check_labels [script.yaml ...]      (no paths: all of seeds/scripts)

Decides: whether labels are legal, not whether they are true: ids exist and apply to the profile,
numbers have a limit, a unit and a verdict that arithmetic bears out, "same on this side" earns
only what the checklist lets it, and the script stands where its name says in the split.
Public: `faults_in`, `check_file`.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from seeds.script import Script, ScriptLine, SpokenNumber, load_script
from seeds.split import load_split
from seeds.truth import WRONG, applicable_items, requirements_of, truth_of
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import UNITS, Checklist, Item, Limit, Requirement, VehicleProfile
from walkgrade.errors import InputError, WalkgradeError

SCRIPTS = Path(__file__).with_name("scripts")

_SAME = re.compile(
    r"\b(same|identical|likewise|as before|just like|like the (other|front))\b", re.I
)
_FLOORS = {"at least", "above"}
_CEILINGS = {"at most", "below"}
_PLAIN = ("exactly", "about", "between")
_NEAR = 4
"""A part named within so many lines before counts as still meant."""


def faults_in(script: Script, checklist: Checklist, profile: VehicleProfile) -> list[str]:
    """Every illegal label of `script`, each with its line number (counted from 1 over `lines`)."""
    items = {item.id: item for item in applicable_items(checklist, profile)}
    known = {item.id for item in checklist.items}
    faults: list[str] = []
    for number, line in enumerate(script.lines, 1):
        found = [
            *_other_voice(line),
            *_ids(line, items, known, profile),
            *_numbers(script, number - 1, items, profile),
            *_carried(script, number - 1, items),
        ]
        faults += [f"line {number}: {fault} [{line.text[:48]}]" for fault in found]
    if load_split().part_of_script(script.id) != script.part:
        faults.append(f"part {script.part!r} is not the one that the name {script.id!r} asks for")
    return faults


def _other_voice(line: ScriptLine) -> Iterator[str]:
    if line.who != "trainee" and (line.earns or line.wrong or line.numbers):
        yield f"{line.who} earns nothing, but the line has labels"


def _ids(
    line: ScriptLine, items: dict[str, Item], known: set[str], profile: VehicleProfile
) -> Iterator[str]:
    earned = {f"{item}.{short}" for item, shorts in line.earns for short in shorts}
    for item_id, shorts in (*line.earns, *line.wrong):
        item = items.get(item_id)
        if item is None:
            why = (
                "does not apply to this profile" if item_id in known else "is not in the checklist"
            )
            yield f"item {item_id} {why}"
            continue
        applying = {one.id for one in item.requirements if profile.has(one.if_fitted)}
        all_ids = {one.id for one in item.requirements}
        for full in (f"{item_id}.{short}" for short in shorts):
            if full not in all_ids:
                yield f"requirement {full} is not in the checklist"
            elif full not in applying:
                yield f"requirement {full} does not apply to this profile"
    for item_id, shorts in line.wrong:
        if not shorts:
            yield f"item {item_id} under wrong names no requirement"
        for short in shorts:
            if f"{item_id}.{short}" in earned:
                yield f"requirement {item_id}.{short} is both earned and wrong"


def _numbers(
    script: Script, at: int, items: dict[str, Item], profile: VehicleProfile
) -> Iterator[str]:
    line = script.lines[at]
    if not line.numbers:
        return
    before = requirements_of(replace(script, lines=script.lines[:at]))
    limits = {
        one.id: (item, one)
        for item in items.values()
        for one in item.requirements
        if one.limit is not None and profile.has(one.if_fitted)
    }
    for number in line.numbers:
        name = number.requirement
        if number.unit not in UNITS:
            yield f"unit {number.unit!r} of {name}: allowed are {', '.join(UNITS)}"
        if (number.comparator == "between") != (number.high is not None):
            yield f"number of {name}: `between` and `high` go together"
        if name not in limits:
            yield f"number of {name}: no such requirement with a limit applies"
            continue
        item, requirement = limits[name]
        yield from _verdict(number, requirement)
        mixed = {one.right for one in line.numbers if one.requirement == name} == {True, False}
        if number.right and before.get(name) == WRONG and _reading(number, requirement.limit):
            continue  # a reading does not put the rule right
        side = line.earns if number.right and not mixed else line.wrong
        short = name.removeprefix(f"{item.id}.")
        if short not in dict(side).get(item.id, ()):
            yield f"number of {name} is {'right' if number.right else 'wrong'}, the label is not"


def _verdict(number: SpokenNumber, requirement: Requirement) -> Iterator[str]:
    limit = requirement.limit
    if limit is None or number.unit != limit.unit:
        return
    if number.right and _safe_reading(number, limit):
        return
    fits = _in_range(number, limit) and not _points_away(number, limit)
    if fits != number.right:
        said = "fits" if fits else "does not fit"
        yield f"number of {requirement.id} {said} its limit, but right is {number.right}"


def _in_range(number: SpokenNumber, limit: Limit) -> bool:
    high = number.low if number.high is None else number.high
    return limit.accept_low <= number.low <= high <= limit.accept_high


def _safe_reading(number: SpokenNumber, limit: Limit | None) -> bool:
    """A plain value safely beyond the limit: what this vehicle shows (guide, rule 10)."""
    if limit is None or number.comparator not in _PLAIN:
        return False
    if limit.comparator.value in _FLOORS:
        return number.low > limit.accept_high
    high = number.low if number.high is None else number.high
    if limit.comparator.value == "about" and limit.low == limit.accept_low:
        return limit.accept_high < number.low <= high <= limit.accept_high * 5 / 4
    return limit.comparator.value in _CEILINGS and high < limit.accept_low


def _reading(number: SpokenNumber, limit: Limit | None) -> bool:
    """A plain value that is not the rule's own: what this vehicle shows, well or safely."""
    if limit is None or number.low in (limit.low, limit.high):
        return False
    plain = number.comparator in _PLAIN and _in_range(number, limit)
    return plain or _safe_reading(number, limit)


def _points_away(number: SpokenNumber, limit: Limit) -> bool:
    ways = {number.comparator, limit.comparator.value}
    return bool(ways & _FLOORS) and bool(ways & _CEILINGS)


def _carried(script: Script, at: int, items: dict[str, Item]) -> Iterator[str]:
    """Faults of credit that only a "same here" can have brought."""
    line = script.lines[at]
    if line.who != "trainee" or not _SAME.search(line.text):
        return
    before = _standing(script.lines[:at])
    near = {item for one in script.lines[max(0, at - _NEAR) : at] for item, _ in one.earns}
    for item_id, shorts in line.earns:
        item = items.get(item_id)
        if item is None or not shorts or item_id in near or _is_named(item, line.text):
            continue
        sources = [one for one in item.carry_over if before.get(one)]
        if not item.carry_over:
            yield f"item {item_id} cannot be carried over, and the line does not name it"
        elif not sources:
            yield f"item {item_id} is carried over from nothing described before"
        elif not any(set(shorts) <= before[one] for one in sources):
            yield f"item {item_id} is carried over with more than {', '.join(sources)} had"


def _standing(lines: tuple[ScriptLine, ...]) -> dict[str, set[str]]:
    """Item -> short ids earned so far."""
    earned: dict[str, set[str]] = {}
    for line in lines:
        if line.who == "trainee":
            for item, shorts in line.earns:
                earned.setdefault(item, set()).update(shorts)
            for item, shorts in line.wrong:
                earned.setdefault(item, set()).difference_update(shorts)
    return earned


def _is_named(item: Item, text: str) -> bool:
    """True when the last word of one of the item's names is in the line (singular or plural)."""
    heads = {name.lower().split()[-1].rstrip("s") for name in item.names}
    return any(word.rstrip("s") in heads for word in re.findall(r"\w+", text.lower()))


def check_file(path: Path) -> tuple[Script, Counter[str]]:
    """Load and check one script; gives it with the count of each item outcome.

    Raises
    ------
    InputError
        ``I91`` for the format, ``I94`` listing every illegal label.
    """
    script = load_script(path)
    checklist, profile = find_checklist(script.checklist), find_profile(script.profile)
    if faults := faults_in(script, checklist, profile):
        listing = "\n".join(f"  {fault}" for fault in faults)
        raise InputError("I94", f"{path}: {len(faults)} illegal label(s):\n{listing}")
    return script, Counter(one.value for one in truth_of(script, checklist, profile).values())


def main(words: list[str]) -> int:
    """Command line; gives the exit status."""
    paths = [Path(word) for word in words] or sorted(SCRIPTS.glob("*.yaml"))
    status = 0
    for path in paths:
        try:
            script, count = check_file(path)
        except WalkgradeError as error:
            print(error, file=sys.stderr)
            status = error.exit_status
            continue
        outcomes = ", ".join(f"{many} {what}" for what, many in sorted(count.items()))
        print(f"{script.id}: {script.word_count} words, {len(script.lines)} lines; {outcomes}")
    return status


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
