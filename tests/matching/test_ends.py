"""Both ends of a limit told one by one are one range; other pairs of numbers are not."""

from __future__ import annotations

import pytest
from spoken_lines import heard

from walkgrade.matching.records import NumberVerdict

START = "In the cab, air brake check."
POP = "air-brake.pop-out.pressure"
ONE = [
    "The parking brake valve pops out no lower than 20 psi. The valve pops no higher than 45 psi.",
    "The parking brake valve pops out by 20 psi. It may pop at 45 psi too.",
]


@pytest.mark.parametrize("line", ONE)
def test_two_ends_are_one_range(line: str) -> None:
    (one,) = (n for n in heard(START, line, judged=True).numbers if n.requirement == POP)
    assert (one.value_low, one.value_high, one.comparator) == ("20", "45", "between")
    assert one.verdict == NumberVerdict.RIGHT
    assert "20" in one.said
    assert "45" in one.said
    assert one.evidence.start < one.evidence.end


@pytest.mark.parametrize(
    ("line", "values"),
    [
        ("The parking brake valve pops out at 20 psi, no, 40 psi.", ["40"]),
        ("The parking brake valve pops out at 30 psi. It may pop at 45 psi too.", ["30", "45"]),
    ],
)
def test_other_pairs_stay_apart(line: str, values: list[str]) -> None:
    found = [n for n in heard(START, line, judged=True).numbers if n.requirement == POP]
    assert [n.value_low for n in found] == values
    assert all(n.value_low == n.value_high for n in found)


def test_a_limit_with_one_end_has_no_range() -> None:
    found = heard("Front axle. Tread, four thirty-seconds, and again four thirty-seconds.").numbers
    assert {(n.value_low, n.value_high) for n in found} == {("1/8", "1/8")}
