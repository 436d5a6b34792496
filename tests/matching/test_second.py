"""The second opinion of the judge: what it goes by, and how it is written."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from walkgrade.matching.judge import AGAIN, Second, judge_from, second_rows
from walkgrade.matching.weighing import FEATURES

COLUMNS = ("first", "item", *AGAIN)


def row_of(**values: float) -> np.ndarray:
    """One row of `second_rows`, 0 (a chance of a half) but for what is given."""
    features = np.array([[values.get(name, 0.0) for name in FEATURES]])
    return second_rows(
        np.array([values.get("first", 0.5)]), np.array([values.get("item", 0.0)]), features
    )


def test_rows_of_the_second_opinion_are_what_they_say() -> None:
    features = np.arange(2 * len(FEATURES), dtype=float).reshape(2, -1)
    found = second_rows(np.array([0.5, 0.8]), np.array([1.5, -2.0]), features)
    assert found[:, 0].tolist() == pytest.approx([0.0, 1.3862943611])  # log(0.8 / 0.2) = log 4
    assert found[:, 1].tolist() == [1.5, -2.0]
    for column, name in enumerate(AGAIN, 2):
        assert found[:, column].tolist() == features[:, FEATURES.index(name)].tolist()


@pytest.mark.parametrize(
    ("chance", "log_odds"), [(0.0, -9.2102404), (1.0, 9.2102404), (1e-9, -9.2102404)]
)
def test_log_odds_of_a_certain_chance_are_finite(chance: float, log_odds: float) -> None:
    """log(0.0001 / 0.9999) at the least."""
    assert row_of(first=chance)[0, 0] == pytest.approx(log_odds)


@pytest.mark.parametrize(("bias", "chance"), [(1e6, 1.0), (-1e6, 0.0), (0.0, 0.5)])
def test_chances_stay_finite_however_sure(bias: float, chance: float) -> None:
    assert Second(least=0.0, most=1.0, bias=bias, trees=()).chances(row_of()) == pytest.approx(
        [chance], abs=1e-12
    )


def test_nothing_asked_nothing_judged() -> None:
    assert Second(least=0.0, most=1.0, bias=0.0, trees=()).chances(
        np.zeros((0, len(COLUMNS)))
    ).shape == (0,)


def body(**changed: Any) -> dict[str, Any]:
    """A judge's written form with a second opinion, of a tree over `feature`."""
    feature = changed.pop("feature", "item")
    tree = {"feature": [feature, None, None], "limit": [0.5, 0, 0], "low": [1, 0, 0],
            "high": [2, 0, 0], "adds": [0, 1.0, 2.0]}  # fmt: skip
    opinion = {"least": 0.1, "most": 0.9, "bias": -0.5, "trees": [tree], **changed}
    opinion = {name: value for name, value in opinion.items() if value is not None}
    plain = {"bias": 0.0, "said": 0.6, "listen": 0.3, "weights": dict.fromkeys(FEATURES, 0.0)}
    return {"typed": plain | {"second": opinion}, "recognised": plain}


def test_the_written_second_opinion_is_read() -> None:
    found = judge_from(body())
    opinion = found.typed.second
    assert opinion is not None
    assert (opinion.least, opinion.most, opinion.bias) == (0.1, 0.9, -0.5)
    assert len(opinion.trees) == 1
    assert found.recognised.second is None
    assert found.items is None


@pytest.mark.parametrize("feature", COLUMNS)
def test_a_tree_goes_by_the_feature_it_names(feature: str) -> None:
    opinion = judge_from(body(feature=feature)).typed.second
    assert opinion is not None
    for name in COLUMNS:
        adds = 2.0 if name == feature else 1.0
        row = row_of(**{name: 0.9})  # over the tree's limit, as a chance's log odds too
        assert opinion.chances(row) == pytest.approx([1 / (1 + np.exp(0.5 - adds))])


@pytest.mark.parametrize(
    ("changed", "error"),
    [
        ({"feature": "weather"}, ValueError),
        ({"feature": "kin"}, ValueError),  # the bench knows it, the second opinion does not
        ({"least": None}, KeyError),
        ({"most": None}, KeyError),
        ({"bias": None}, KeyError),
        ({"trees": None}, KeyError),
        ({"least": "some"}, ValueError),
        ({"trees": [3]}, TypeError),
    ],
)
def test_a_spoiled_second_opinion_is_refused(
    changed: dict[str, Any], error: type[Exception]
) -> None:
    with pytest.raises(error):
        judge_from(body(**changed))
