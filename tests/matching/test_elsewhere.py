"""Numbers sent to the other axle, and those told for one's own kind of vehicle."""

from __future__ import annotations

import pytest
from spoken_lines import heard

from walkgrade.matching.records import NumberVerdict

TREADS = [  # the words, and what the front and the rear tread are told
    ("Four thirty-seconds in front, and two at the rear.", ["1/8"], ["1/16"]),
    ("Fours up front and twos in the back.", ["1/8"], ["1/16"]),
    ("Two thirty-seconds in front.", ["1/16"], []),
    ("Four thirty-seconds, I looked at it from behind.", ["1/8"], []),
]
LOSSES = [
    (
        ("I can lose four psi.", "Sorry, four is for one with a trailer, it's three for me."),
        ["4", "3"],
    ),
    (("I can lose four psi.", "It is a bus for three schools."), ["4"]),
    (("I can lose three psi.", "With a trailer it would be another three."), ["3"]),
]


@pytest.mark.parametrize(("line", "front", "rear"), TREADS)
def test_a_tread_stays_at_its_axle(line: str, front: list[str], rear: list[str]) -> None:
    found = heard("Front axle. The tire, its tread depth.", line, judged=True).numbers
    for axle, told in (("front", front), ("rear", rear)):
        mine = [n.value_low for n in found if n.requirement == f"{axle}-axle.tyre-tread.depth"]
        assert mine == told


@pytest.mark.parametrize(("lines", "told"), LOSSES)
def test_a_limit_told_for_ones_own_kind(lines: tuple[str, ...], told: list[str]) -> None:
    opening = "In the cab, air brake check, engine off, key on, foot on the brake for a minute."
    found = heard(opening, *lines, judged=True).numbers
    mine = [n for n in found if n.requirement == "air-brake.leak.loss"]
    assert [n.value_low for n in mine] == told
    if len(mine) == 2:
        assert [n.verdict for n in mine] == [NumberVerdict.OUT_OF_RANGE, NumberVerdict.RIGHT]
