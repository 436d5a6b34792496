"""Numbers against their limits."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import grade_factories as make
import pytest

from walkgrade.checklists.records import Comparator, Limit
from walkgrade.grading.grade import grade
from walkgrade.grading.numbers import limit_text
from walkgrade.matching.records import ItemOutcome, NumberVerdict

TYRE = make.item(
    "axle.tyre",
    title="Steer tyre",
    requirements=(make.requirement("axle.tyre.depth", "at least 4/32 inch", limit=make.TREAD),),
)


@pytest.mark.parametrize("verdict", list(NumberVerdict))
def test_only_a_right_number_is_right(verdict: NumberVerdict) -> None:
    found = make.findings(
        make.found(TYRE, ItemOutcome.WRONG), numbers=(make.number(TYRE, verdict),)
    )
    (entry,) = grade(found, make.checklist(TYRE), ()).numbers
    assert entry.right is (verdict is NumberVerdict.RIGHT)
    assert entry.basis == (make.BASIS,)
    assert (entry.title, entry.says) == ("Steer tyre", "at least 4/32 inch")
    assert not entry.repaired


def test_a_later_right_number_repairs_the_wrong_one() -> None:
    found = make.findings(
        make.found(TYRE, ItemOutcome.COMPLETE),
        numbers=(make.number(TYRE), make.number(TYRE, NumberVerdict.RIGHT)),
    )
    wrong, right = grade(found, make.checklist(TYRE), ()).numbers
    assert (wrong.repaired, right.repaired) == (True, False)


def test_a_required_number_never_given_is_a_gap() -> None:
    result = grade(
        make.findings(make.found(TYRE, ItemOutcome.NAMED_ONLY)), make.checklist(TYRE), ()
    )
    (gap,) = result.number_gaps
    assert (gap.requirement, gap.accepted) == ("axle.tyre.depth", "at least 4/32 in")


@pytest.mark.parametrize(
    ("outcome", "spoken"), [(ItemOutcome.COMPLETE, False), (ItemOutcome.WRONG, True)]
)
def test_given_numbers_are_no_gap(outcome: ItemOutcome, spoken: bool) -> None:
    numbers = (make.number(TYRE),) if spoken else ()
    result = grade(
        make.findings(make.found(TYRE, outcome), numbers=numbers), make.checklist(TYRE), ()
    )
    assert result.number_gaps == ()


def test_optional_numbers_are_no_gap() -> None:
    part = make.requirement("axle.tyre.depth", required=False, limit=make.TREAD)
    tyre = make.item("axle.tyre", requirements=(make.requirement("axle.tyre.even"), part))
    result = grade(make.findings(make.found(tyre, ItemOutcome.MISSED)), make.checklist(tyre), ())
    assert result.number_gaps == ()


def _limit(**values: object) -> Limit:
    return replace(make.LEAK, **values)


@pytest.mark.parametrize(
    ("limit", "text"),
    [
        (make.TREAD, "at least 4/32 in"),
        (make.LEAK, "at most 3 psi"),
        (
            _limit(
                comparator=Comparator.BETWEEN,
                low=Fraction(120),
                high=Fraction(140),
                quantity="cut-out",
            ),
            "between 120 and 140 psi",
        ),
        (
            _limit(
                comparator=Comparator.BETWEEN, low=Fraction(1, 2), high=Fraction(3, 4), unit="in"
            ),
            "between 1/2 and 3/4 in",
        ),
        (_limit(comparator=Comparator.EXACTLY, low=Fraction(3), unit="count"), "exactly 3"),
        (_limit(high=Fraction(7, 4), unit="in"), "at most 1 3/4 in"),
    ],
)
def test_limits_read_as_the_trade_writes_them(limit: Limit, text: str) -> None:
    assert limit_text(limit) == text
