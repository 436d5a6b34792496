"""Procedure steps, critical misses, and walking back and forth."""

from __future__ import annotations

import grade_factories as make
import pytest

from walkgrade.grading.grade import grade
from walkgrade.grading.order import RULE_BASIS
from walkgrade.grading.records import Grade, Review
from walkgrade.matching.records import ItemOutcome, StepState, Visit

CHARGE = make.item("brakes.charge", title="Charge the system", step=1, critical=True)
LEAK = make.item("brakes.leak", title="Leak test", step=2, critical=True)


def _grade(*states: StepState, outcome: ItemOutcome = ItemOutcome.COMPLETE) -> Grade:
    steps = tuple(make.step(*pair) for pair in zip((CHARGE, LEAK), states, strict=False))
    found = make.findings(make.found(CHARGE, outcome), make.found(LEAK), steps=steps)
    return grade(found, make.checklist(CHARGE, LEAK), ())


@pytest.mark.parametrize("state", [StepState.SWAPPED, StepState.UNFINISHED, StepState.MISSING])
def test_steps_gone_wrong_are_flagged(state: StepState) -> None:
    result = _grade(state, StepState.IN_ORDER)
    (issue,) = result.order.issues
    assert (issue.item, issue.state, issue.critical) == (CHARGE.id, state, True)
    assert "commonly fails" in issue.note
    assert "manual decides" in issue.note
    (miss,) = result.critical
    assert miss.basis[: len(RULE_BASIS)] == RULE_BASIS
    assert any("11.1.2" in basis.section for basis in miss.basis)


def test_steps_in_order_raise_nothing() -> None:
    result = _grade(StepState.IN_ORDER, StepState.IN_ORDER)
    assert result.order.issues == ()
    assert result.critical == ()


@pytest.mark.parametrize(
    ("outcome", "undecided"),
    [
        (ItemOutcome.MISSED, False),
        (ItemOutcome.WRONG, False),
        (ItemOutcome.INCOMPLETE, False),
        (ItemOutcome.NEEDS_LISTENING, True),
    ],
)
def test_critical_items_not_complete(outcome: ItemOutcome, undecided: bool) -> None:
    (miss,) = _grade(StepState.IN_ORDER, outcome=outcome).critical
    assert (miss.item, miss.undecided) == (CHARGE.id, undecided)
    assert miss.missing == ("secure",)
    assert make.BASIS in miss.basis


def test_items_that_are_not_critical_are_not_listed() -> None:
    oil = make.item("engine.oil")
    result = grade(make.findings(make.found(oil, ItemOutcome.MISSED)), make.checklist(oil), ())
    assert result.critical == ()


def test_a_critical_item_outside_a_procedure_cites_its_own_source_only() -> None:
    brake = make.item("cab.parking", critical=True)
    result = grade(make.findings(make.found(brake, ItemOutcome.MISSED)), make.checklist(brake), ())
    assert result.critical[0].basis == (make.BASIS,)


def test_a_confirmed_item_is_no_critical_miss_even_if_its_step_was_swapped() -> None:
    found = make.findings(make.found(CHARGE), steps=(make.step(CHARGE, StepState.SWAPPED),))
    call = Review(
        item=CHARGE.id,
        old=ItemOutcome.COMPLETE,
        new=ItemOutcome.COMPLETE,
        who="A",
        when="2030-01-01",
        why="order was right",
    )
    listed = make.checklist(CHARGE)
    assert grade(found, listed, ()).critical
    assert grade(found, listed, (), reviews=(call,)).critical == ()


def _walk(*places: str) -> tuple[Visit, ...]:
    return tuple(make.visit(place, n * 1_000, n * 1_000 + 1_000) for n, place in enumerate(places))


@pytest.mark.parametrize(
    ("walk", "returns"),
    [
        (("engine", "cab", "engine"), []),  # the checklist itself asks for the engine twice
        (("engine", "cab", "engine", "cab"), [("cab", 2, 1, (3_000,))]),
        (("engine", "engine", "cab"), []),
        (("engine", "cab", "engine", "cab", "engine"), [("engine", 3, 2, (4_000,)),
                                                       ("cab", 2, 1, (3_000,))]),
        ((), []),
    ],
)  # fmt: skip
def test_going_back_and_forth(
    walk: tuple[str, ...], returns: list[tuple[str, int, int, tuple[int, ...]]]
) -> None:
    items = (
        make.item("engine.oil"),
        make.item("cab.horn"),
        make.item("engine.hood", section="end", place="engine"),
    )
    found = make.findings(*(make.found(entry) for entry in items), visits=_walk(*walk))
    result = grade(found, make.checklist(*items), ())
    assert [
        (row.place, row.visits, row.planned, row.starts) for row in result.order.returns
    ] == returns
