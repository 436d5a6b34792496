# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""Spoken numbers tied to the limit they speak to."""

import pytest
from spoken_lines import earned, heard
from spoken_rows import Row, check, table
from statement_rows import NUMBERS

from walkgrade.matching.records import NumberVerdict


@pytest.mark.parametrize("one", table(NUMBERS))
def test_number(one: Row) -> None:
    check(one)


# spoken, then: requirement, low, high, unit, comparator, verdict, accepted (49 CFR 393.75 (b), (c);
# manual 11.1.2; 5.1.14 from memory)
FOUND = [
    ("Front axle. Tread depth at least four thirty-seconds.",
     ("front-axle.tyre-tread.depth", "1/8", "1/8", "in", "at least", NumberVerdict.RIGHT, "at least 4/32 in")),
    ("Rear axle. Tread depth no more than 2/32 of an inch.",
     ("rear-axle.tyre-tread.depth", "1/16", "1/16", "in", "at most", NumberVerdict.WRONG_DIRECTION, "at least 2/32 in")),
    ("Front axle. Tread depth at least 2/32.",
     ("front-axle.tyre-tread.depth", "1/16", "1/16", "in", "at least", NumberVerdict.OUT_OF_RANGE, "at least 4/32 in")),
    ("In the cab, air brake check. The governor cuts out between 120 and 140 psi.",
     ("air-brake.charge.cut-out", "120", "140", "psi", "between", NumberVerdict.RIGHT, "120 to 140 psi")),
    ("In the cab, air brake check. The parking brake valve pops out between 20 and 45 psi.",
     ("air-brake.pop-out.pressure", "20", "45", "psi", "between", NumberVerdict.RIGHT, "20 to 45 psi")),
]  # fmt: skip


@pytest.mark.parametrize(("line", "want"), FOUND)
def test_number_finding(line: str, want: tuple[object, ...]) -> None:
    (one,) = heard(line).numbers
    assert (
        one.requirement, one.value_low, one.value_high, one.unit, one.comparator, one.verdict,
        one.accepted,
    ) == want  # fmt: skip
    assert one.requirement.startswith(one.item + ".")


@pytest.mark.parametrize(
    "line",
    [
        "I got here at seven thirty this morning.",
        "This one's the steering box, and the two of them go together.",
        "The bus is number 42.",
        "In the cab, air brake check. Parking brake test, this one here.",
        "We have 30 minutes.",
    ],
)
def test_number_that_measures_nothing(line: str) -> None:
    findings = heard(line)
    assert findings.numbers == ()
    assert earned(findings) == set()


def test_numbers_are_listed_in_spoken_order() -> None:
    findings = heard(
        "Front axle. Tread depth at least 4/32.", "Rear axle. Tread depth at least 2/32."
    )
    assert [n.requirement for n in findings.numbers] == [
        "front-axle.tyre-tread.depth",
        "rear-axle.tyre-tread.depth",
    ]


# what is spoken, whether the depth is earned, whether it stands wrong (49 CFR 393.75 (b), (c))
READINGS = [
    ("Front axle. Steer tires. Tread is at nine thirty-seconds.", True, False),
    ("Front axle. Tire tread, minimum four thirty-seconds. This one measures nine thirty-seconds.", True, False),
    ("Front axle. Tire tread needs four thirty-seconds, this one is at nine thirty-seconds.", True, False),
    ("Front axle. Tire tread at nine thirty-seconds, needs four thirty-seconds.", True, False),
    ("Front axle. Steer tire, this one has nine thirty-seconds of tread.", True, False),
    ("Front axle. Steer tire tread has to be nine thirty-seconds.", False, True),
    ("Front axle. Steer tire tread has got to be nine thirty-seconds.", False, True),
    ("Front axle. Tread, the law wants four thirty-seconds and mine reads nine thirty-seconds.", True, False),
    ("Front axle. Brake lining, three eighths.", None, False),
    ("Front axle. Tread must be six thirty-seconds.", False, True),
    ("Front axle. Tread depth at least six thirty-seconds.", False, True),
    ("Front axle. Tread reads two thirty-seconds.", False, True),
    ("Front axle. Tread at least four thirty-seconds. This tire's tread measures one thirty-second.", False, True),
    ("Front axle. Tread must be six thirty-seconds. This one measures nine thirty-seconds.", False, True),
    ("Front axle. Tread must be six thirty-seconds. No, the tread must be four thirty-seconds.", True, False),
]  # fmt: skip


@pytest.mark.parametrize(("line", "told", "wrong"), READINGS)
def test_a_safe_reading_is_right_and_a_rule_remembered_wrongly_is_not(
    line: str, told: bool | None, wrong: bool
) -> None:
    findings = heard(line)
    depth = "front-axle.tyre-tread.depth"
    if told is not None:
        assert (depth in earned(findings)) is told
    assert (
        any(n.requirement == depth and n.verdict != NumberVerdict.RIGHT for n in findings.numbers)
        is wrong
    )


def test_the_limit_of_another_place_is_no_reading() -> None:
    (one,) = heard("Rear axle. Tire tread, four thirty-seconds.").numbers
    assert (one.requirement, one.verdict) == (
        "rear-axle.tyre-tread.depth",
        NumberVerdict.OUT_OF_RANGE,
    )
