"""A number taken back in the same breath does not stand; one put right later does."""

from __future__ import annotations

import pytest
from spoken_lines import heard

ROWS = [
    ("Front axle. Tire tread must be two thirty-seconds, no, four thirty-seconds.", ["1/8"]),
    ("Front axle. Tire tread must be two thirty-seconds. Wait. Four thirty-seconds.", ["1/8"]),
    ("Front axle. Tire tread must be two thirty-seconds, I mean four thirty-seconds.", ["1/8"]),
    ("Front axle. Tire tread must be four thirty-seconds, no less. I got nine thirty-seconds.",
     ["1/8", "9/32"]),
    ("Front axle. Tire tread nine thirty-seconds, and four's the floor.",
     ["9/32", "1/8"]),
]  # fmt: skip


@pytest.mark.parametrize(("line", "stand"), ROWS)
def test_what_is_taken_back_at_once_does_not_stand(line: str, stand: list[str]) -> None:
    found = heard(line, judged=True).numbers
    assert {n.requirement for n in found} == {"front-axle.tyre-tread.depth"}
    assert [n.value_low for n in found] == stand


def test_what_is_put_right_in_a_later_statement_was_said() -> None:
    found = heard(
        "Front axle. Tire tread must be two thirty-seconds.",
        "Sorry, it must be four thirty-seconds.",
    ).numbers
    assert [(n.value_low, str(n.verdict)) for n in found] == [
        ("1/16", "out of range"),
        ("1/8", "right"),
    ]


def test_other_requirements_are_not_taken_back() -> None:
    found = heard(
        "Front axle. Tire tread is four thirty-seconds, sorry, and the linings a quarter inch."
    ).numbers
    assert [n.value_low for n in found] == ["1/8", "1/4"]


def test_the_number_that_takes_its_place_speaks_to_the_same() -> None:
    found = heard(
        "In the cab, air brake check.",
        "The parking brake valve pops out at 20 psi, no, 40 psi.",
        judged=True,
    ).numbers
    assert [(n.requirement, n.value_low) for n in found] == [("air-brake.pop-out.pressure", "40")]
