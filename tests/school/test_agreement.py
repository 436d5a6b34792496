"""Agreement of instructors; kappa is checked against scikit-learn."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from walkgrade.school.agreement import between_people, kappa, with_program

OUTCOMES = ("complete", "missed", "wrong")
pairs = st.lists(st.tuples(st.sampled_from(OUTCOMES), st.sampled_from(OUTCOMES)), min_size=2)


@settings(deadline=None)
@given(pairs)
def test_kappa_is_that_of_scikit_learn(calls: list[tuple[str, str]]) -> None:
    from sklearn.metrics import cohen_kappa_score

    first, second = [one for one, _ in calls], [other for _, other in calls]
    if len({*first, *second}) < 2:
        assert math.isnan(kappa(first, second))
        return
    assert kappa(first, second) == pytest.approx(cohen_kappa_score(first, second), abs=1e-12)


def test_kappa_by_hand() -> None:
    # 20 agree on yes, 15 on no; 5 and 10 disagree: 0.7 observed, 0.5 by chance.
    first = ["y"] * 20 + ["y"] * 5 + ["n"] * 10 + ["n"] * 15
    second = ["y"] * 20 + ["n"] * 5 + ["y"] * 10 + ["n"] * 15
    assert kappa(first, second) == pytest.approx(0.4)


def test_rows_of_different_length() -> None:
    with pytest.raises(ValueError, match="2 calls"):
        kappa(["a", "b"], ["a"])


def test_the_last_call_of_each_person_counts(group) -> None:
    reviews = [
        (0, "p1", 0, "Quill", "missed"),
        (0, "p1", 1, " Ortiz ", "complete"),
        (0, "p1", 2, "Quill", "complete"),
        (0, "p2", 3, "Quill", "missed"),
        (0, "p2", 4, "Ortiz", "wrong"),
        (1, "p1", 0, "Quill", "complete"),
        (1, "p1", 1, "Ortiz", "missed"),
        (1, "p2", 2, "Quill", "complete"),
        (1, "q1", 3, "Baker", "complete"),
    ]
    table = between_people(group(("Ann", "CCCC"), ("Bob", "CCCC"), reviews=reviews).reviews)
    assert table[["first", "second", "items"]].to_numpy().tolist() == [["Ortiz", "Quill", 3]]
    row = table.iloc[0]
    assert row["alike"] == pytest.approx(100 / 3)
    assert row["alike_credit"] == pytest.approx(200 / 3)
    # complete or not: (1, 1), (0, 0), (0, 1): 2/3 observed, 4/9 by chance.
    assert row["kappa"] == pytest.approx(0.4)


def test_nobody_called_anything(group) -> None:
    assert between_people(group(("Ann", "CCCC")).reviews).empty


def test_what_people_made_of_the_program_s_calls(group) -> None:
    data = group(("Ann", "CM?C"), ("Bob", "CCCC"))
    found = data.findings.assign(
        heard=["complete", "complete", "needs listening", "missed", *["complete"] * 4],
        reviewed=[True, True, True, True, *[False] * 4],
    )
    table = with_program(found)
    assert table.index.tolist() == ["complete", "missed", "needs listening"]
    assert table.to_numpy().tolist() == [[2, 1, 0, 1], [1, 0, 1, 0], [1, 1, 0, 0]]
