"""Numbers whose unit is left out, said twice, or shown by this vehicle rather than ruled."""

from __future__ import annotations

import pytest
from spoken_lines import heard

FRONT, REAR = "front-axle.tyre-tread.depth", "rear-axle.tyre-tread.depth"
LOSS, MINUTE = "air-brake.leak.loss", "air-brake.leak.minute"
AIR = "In the cab, air brake check. Brake pedal pressed and held for one minute."


def told(*lines: str) -> list[tuple[str, str, str]]:
    return [(n.requirement, n.value_low, str(n.verdict)) for n in heard(*lines).numbers]


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        (
            ["Front axle. Tire tread nine thirty-seconds, and four's the floor."],
            [(FRONT, "9/32", "right"), (FRONT, "1/8", "right")],
        ),
        (
            ["Rear axle. Tire tread needs two thirty-seconds, these got six or seven."],
            [(REAR, "1/16", "right"), (REAR, "3/16", "right")],
        ),
        (
            ["Rear axle. Tire tread needs six or seven thirty-seconds."],
            [(REAR, "3/16", "out of range")],
        ),
        (
            ["Front axle. Tire tread, five thirty-seconds.", "Got to have four."],
            [(FRONT, "5/32", "right"), (FRONT, "1/8", "right")],
        ),
        (
            ["Front axle. Tire tread, five thirty-seconds.", "Five thirty-seconds."],
            [(FRONT, "5/32", "right")],
        ),
        (
            ["Front axle. Tire tread at least four thirty-seconds.", "No, three thirty-seconds."],
            [(FRONT, "1/8", "right"), (FRONT, "3/32", "out of range")],
        ),
        (
            ["Rear axle. Tire tread at least 2/32.", "Tread on mine is four thirty-seconds."],
            [(REAR, "1/16", "right"), (REAR, "1/8", "right")],
        ),
        (
            ["Rear axle. Tire tread, mine is four thirty-seconds, and two's the floor."],
            [(REAR, "1/8", "right"), (REAR, "1/16", "right")],
        ),
        (
            ["Rear axle. Tire tread is four thirty-seconds.", "Two thirty-seconds is the minimum."],
            [(REAR, "1/8", "right"), (REAR, "1/16", "right")],
        ),
        (
            ["Rear axle. Tire tread must be four thirty-seconds, and I have two thirty-seconds."],
            [(REAR, "1/8", "out of range")],
        ),
        (
            ["Rear axle. Tire tread at least 4/32."],
            [(REAR, "1/8", "out of range")],
        ),
        (
            ["Front axle. Tire tread nine thirty-seconds on all four of these tires."],
            [(FRONT, "9/32", "right")],
        ),
        (
            ["Front axle. Tire tread nine thirty-seconds.", "This one is fine."],
            [(FRONT, "9/32", "right")],
        ),
    ],
)
def test_numbers_of_tread_talk(lines: list[str], wanted: list[tuple[str, str, str]]) -> None:
    assert told(*lines) == wanted


def test_a_minute_may_be_counted_in_seconds() -> None:
    found = told("In the cab, air brake check. Brake pedal pressed and held for sixty seconds.")
    assert (MINUTE, "60", "right") in found


def test_one_minute_said_twice_in_one_breath_counts_once() -> None:
    found = told(AIR.removesuffix(".") + ", I hold it one minute.")
    assert found.count((MINUTE, "1", "right")) == 1


def test_pounds_and_a_bare_number_are_one_value() -> None:
    """ "Four pounds. Max four." is said twice, once as pounds, once without a unit."""
    found = told(AIR, "In that minute I lose four pounds. Max four.")
    assert found.count((LOSS, "4", "out of range")) == 1


def test_a_number_until_which_something_goes_on_is_no_range() -> None:
    found = told(AIR, "I lose two pounds until the minute is over.")
    assert (LOSS, "2", "right") in found


def test_a_bare_number_of_another_order_speaks_to_no_limit() -> None:
    """The run reader ties a number to tread that cannot be one: 105, 499."""
    found = heard(
        "Front axle. Tire tread, four thirty-seconds is the minimum, and the gauge shows 105.",
        judged=True,
    ).numbers
    assert [(n.requirement, n.value_low) for n in found] == [(FRONT, "1/8")]


@pytest.mark.parametrize(
    ("line", "verdict"),
    [
        ("The low air buzzer came on at 62 psi.", "right"),
        ("The low air buzzer came on at 75 psi.", "right"),
        ("The low air buzzer came on at 76 psi.", "out of range"),
        ("The low air buzzer came on at 54 psi.", "out of range"),
        ("The low air warning must come on at 70 psi.", "out of range"),
        ("The low air warning comes on before 55 psi.", "right"),
    ],
)
def test_a_warning_that_comes_early_is_no_fault(line: str, verdict: str) -> None:
    """Due by 55 psi (manual 11.1.2); between 55 and 75 psi (California handbook, section 5)."""
    assert told("In the cab, air brake check.", line) == [
        ("air-brake.warning.pressure", line.split(" psi")[0][-2:], verdict)
    ]
