"""Gauge or cut-out, and losses told by two pressures (rule 10 of seeds/LABELLING.md)."""

from __future__ import annotations

import pytest
from spoken_lines import heard

GAUGES = "Back in the cab, I read the gauges. The voltmeter works, fourteen volts."
BRAKES = "Now the air brake check."
PEDAL = "Engine off, key on, I let the parking brake go and hold the pedal down for one minute."
LOSSES = [
    (("It was at one-twenty, and now it's one-eighteen.",), ["2"]),
    (("I started at one twenty-two.", "Now I'm at one twenty-one."), ["1"]),
    (("I went from one twenty-six to one twenty-four.",), ["2"]),
    (("It was at one-twenty, now it's one-eighteen, so I lost two.",), ["2"]),
    (("One twenty-four at the start.", "One twenty-three and a half."), ["1/2"]),
    (("Start, one twenty-two. Finish, one twenty-one.",), ["1"]),
    (("It was at one-twenty, now it's one twenty-two.",), []),
    (("It was at one-twenty, and I pump it down to ninety.",), []),
]


@pytest.mark.parametrize(("lines", "told"), LOSSES)
def test_a_loss_is_told_by_two_pressures(lines: tuple[str, ...], told: list[str]) -> None:
    found = heard(BRAKES, PEDAL, *lines, judged=True).numbers
    assert [n.value_low for n in found if n.requirement == "air-brake.leak.loss"] == told
    assert not [n for n in found if n.requirement == "air-brake.charge.cut-out"]


def test_a_loss_shows_both_pressures() -> None:
    lines = ("It was at one-twenty, and now it's one-fifteen.", "That is the end of it.")
    found = heard(BRAKES, PEDAL, *lines, judged=True).numbers
    (loss,) = (n for n in found if n.requirement == "air-brake.leak.loss")
    assert loss.said == "one twenty, ... one fifteen."
    assert loss.value_low == "5"


PLACES = [
    ((GAUGES, "Air gauges work, they go to one-thirty and it cuts out."), "cab.air-gauge.reading"),
    (
        (
            BRAKES,
            "The wheels are chocked and I build the air up.",
            "The governor cuts out at one-thirty.",
        ),
        "air-brake.charge.cut-out",
    ),
]


@pytest.mark.parametrize(("lines", "requirement"), PLACES)
def test_a_cut_out_speaks_to_one_of_gauge_and_check(
    lines: tuple[str, ...], requirement: str
) -> None:
    both = ("cab.air-gauge.reading", "air-brake.charge.cut-out")
    found = heard(*lines, judged=True).numbers
    assert [n.requirement for n in found if n.requirement in both] == [requirement]
