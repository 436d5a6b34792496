"""Trees: which way a row goes, what is refused, and that what is written answers as fitted."""

from __future__ import annotations

import json

import numpy as np
import pytest

from models.fit_judge import trees_of, written, written_trees
from walkgrade.matching.trees import tree_from
from walkgrade.matching.weighing import FEATURES

TREE = {
    "feature": ["b", None, "a", None, None],
    "limit": [0.5, 0, -1.0, 0, 0],
    "low": [1, 0, 3, 0, 0],
    "high": [2, 0, 4, 0, 0],
    "adds": [0, 1.0, 0, 2.0, 3.0],
}


@pytest.mark.parametrize(
    ("row", "adds"), [((9, 0.5), 1.0), ((-1, 0.6), 2.0), ((0, 0.6), 3.0), ((9, -9), 1.0)]
)
def test_a_row_goes_low_up_to_the_limit(row: tuple[float, float], adds: float) -> None:
    assert tree_from(TREE, ("a", "b")).of(np.array([row, row])).tolist() == [adds, adds]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        ({"feature": ["c", None, "a", None, None]}, "not in"),
        ({"low": [0, 0, 3, 0, 0]}, "leads back or nowhere"),
        ({"high": [2, 0, 5, 0, 0]}, "leads back or nowhere"),
        ({"adds": [0, 1.0]}, "differ in length"),
        ({"feature": [], "low": [], "high": [], "limit": [], "adds": []}, "empty"),
    ],
)
def test_a_spoiled_tree_is_refused(spoil: dict, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        tree_from(TREE | spoil, ("a", "b"))


def test_what_is_written_answers_as_it_was_fitted() -> None:
    dice = np.random.default_rng(5)
    rows = np.round(dice.normal(size=(900, len(FEATURES))), 3)
    earned = rows[:, 0] + rows[:, 1] * rows[:, 2] + dice.normal(size=900) > 0
    model = trees_of().fit(rows, earned)
    body = {"typed": written_trees(model, FEATURES), "recognised": {}}
    back = json.loads(written(body))["typed"]
    found = back["bias"] + sum(tree_from(one, FEATURES).of(rows) for one in back["trees"])
    assert len(back["trees"]) == 200
    assert np.allclose(found, model.decision_function(rows), atol=1e-4)
