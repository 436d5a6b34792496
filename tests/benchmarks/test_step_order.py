"""Step states from labels alone."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.agreement import engine, fitted, scripts
from benchmarks.step_order import agreeing, longest_rise, true_states
from seeds.script import to_transcript
from walkgrade.matching.records import StepState


@pytest.mark.parametrize(
    ("values", "length"), [([], 0), ([1, 2, 3], 3), ([2, 1, 3], 2), ([3, 1, 2, 2], 3), ([5, 4], 1)]
)
def test_longest_rise(values: list[int], length: int) -> None:
    assert len(longest_rise(values)) == length


@given(st.lists(st.integers(0, 6), max_size=9))
def test_longest_rise_never_falls_and_is_longest(values: list[int]) -> None:
    run = longest_rise(values)
    kept = [values[at] for at in run]
    assert run == sorted(run)
    assert kept == sorted(kept)
    best = [1] * len(values)
    for at in range(len(values)):
        for before in range(at):
            if values[before] <= values[at]:
                best[at] = max(best[at], best[before] + 1)
    assert len(run) == max(best, default=0)


def test_the_demo_runs_hold_every_state_but_agree_with_the_engine() -> None:
    script = next(one for one in scripts("demo") if one.id == "demo-full")
    states = true_states(script)
    assert StepState.IN_ORDER in states.values()
    findings = engine(to_transcript(script), fitted(script), script.profile)
    right, steps = agreeing(script, findings)
    assert steps == len(states)
    assert 0 < right <= steps
    assert agreeing(script, replace(findings, steps=()))[0] == 0


def test_a_run_backwards_is_out_of_order() -> None:
    script = next(one for one in scripts("demo") if one.id == "demo-full")
    back = replace(script, lines=script.lines[::-1])
    assert list(true_states(back).values()).count(StepState.SWAPPED) > list(
        true_states(script).values()
    ).count(StepState.SWAPPED)
