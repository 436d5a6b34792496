"""Steps of a procedure: their states by the labels, and how far the engine agrees.

Decides: the place of a step in the spoken order is the first line that earns (or spoils) something
required of it, else the first that names it; lines count in the order they were spoken, steps of
one line in the order they are written there. A step is missing when it has no place, unfinished
when the labels do not call it complete, out of order when it is not on a longest run of steps that
never falls back, else in order. This is what `walkgrade.matching.records.StepState` means, told
from the labels alone.
Public: `true_states`, `agreeing`.
"""

from __future__ import annotations

import bisect
from collections.abc import Sequence

from benchmarks.agreement import fitted
from seeds.script import Script
from seeds.truth import truth_of
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Item
from walkgrade.matching.records import Findings, ItemOutcome, StepState


def true_states(script: Script) -> dict[str, StepState]:
    """State of every step of every procedure that applies, by item id."""
    checklist = fitted(script)
    truth = truth_of(script, find_checklist(script.checklist), find_profile(script.profile))
    states: dict[str, StepState] = {}
    for section in checklist.sections:
        if section.procedure:
            steps = [item for item in checklist.items if item.section == section.id]
            states |= _section_states(script, steps, truth)
    return states


def _section_states(
    script: Script, steps: Sequence[Item], truth: dict[str, ItemOutcome]
) -> dict[str, StepState]:
    places = {item.id: place for item in steps if (place := _place(script, item)) is not None}
    spoken = sorted((item for item in steps if item.id in places), key=lambda i: places[i.id])
    kept = {spoken[at].id for at in longest_rise([item.step for item in spoken])}
    states = {}
    for item in steps:
        if item.id not in places:
            states[item.id] = StepState.MISSING
        elif truth[item.id] != ItemOutcome.COMPLETE:
            states[item.id] = StepState.UNFINISHED
        else:
            states[item.id] = StepState.IN_ORDER if item.id in kept else StepState.SWAPPED
    return states


def _place(script: Script, item: Item) -> tuple[int, int] | None:
    """(line, place within it) where the step was spoken, or None."""
    required = {one.id.removeprefix(f"{item.id}.") for one in item.requirements if one.required}
    named = None
    for number, line in enumerate(script.lines):
        if line.who != "trainee":
            continue
        for at, (owner, shorts) in enumerate((*line.earns, *line.wrong)):
            if owner == item.id:
                if required.intersection(shorts):
                    return number, at
                named = named or (number, at)
    return named


def longest_rise(values: Sequence[int]) -> list[int]:
    """Indexes of a longest run that never falls."""
    ends: list[int] = []
    last: list[int] = []
    before: list[int | None] = []
    for at, value in enumerate(values):
        place = bisect.bisect_right(ends, value)
        before.append(last[place - 1] if place else None)
        ends[place : place + 1] = [value]
        last[place : place + 1] = [at]
    run: list[int] = []
    step = last[-1] if last else None
    while step is not None:
        run.append(step)
        step = before[step]
    return run[::-1]


def agreeing(script: Script, findings: Findings) -> tuple[int, int]:
    """Steps whose state agrees with the labels, and steps in all."""
    want = true_states(script)
    have = {step.item: step.state for step in findings.steps}
    return sum(have.get(item) == state for item, state in want.items()), len(want)
