"""Boosted trees over a row of plain numbers: each adds a little to the log odds.

Decides: nothing; it reads what models/fit_judge.py has written (gradient boosting: Friedman 2001,
"Greedy Function Approximation: A Gradient Boosting Machine").
Conventions: a tree is five columns, one entry a node, the root first; a node with a feature sends a
row to `low` where its value is at most `limit`, else to `high`; a leaf has no feature and `adds`.
Public: `Tree`, `tree_from`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

_LEAF = -1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tree:
    """Columns of one tree, shape (nodes,)."""

    feature: NDArray[np.int64]
    limit: NDArray[np.float64]
    low: NDArray[np.int64]
    high: NDArray[np.int64]
    adds: NDArray[np.float64]

    def of(self, rows: NDArray[np.float64]) -> NDArray[np.float64]:
        """What the tree adds to the log odds of each row, shape (rows,)."""
        every = np.arange(len(rows))
        node = np.zeros(len(rows), np.int64)
        while (inner := self.feature[node] != _LEAF).any():
            goes_low = rows[every, np.maximum(self.feature[node], 0)] <= self.limit[node]
            node = np.where(inner, np.where(goes_low, self.low[node], self.high[node]), node)
        return self.adds[node]


def tree_from(body: Mapping[str, Any], features: Sequence[str]) -> Tree:
    """A tree from its written form.

    Raises
    ------
    ValueError, KeyError, TypeError : when a column is missing or short, a feature is not one of
        `features`, or a node sends a row to itself or back.
    """
    names = [None if name is None else str(name) for name in body["feature"]]
    feature = np.array([_LEAF if name is None else features.index(name) for name in names])
    low, high = (np.array(body[side], np.int64) for side in ("low", "high"))
    limit, adds = (np.array(body[side], np.float64) for side in ("limit", "adds"))
    count = len(names)
    if not count or any(len(column) != count for column in (low, high, limit, adds)):
        raise ValueError("a tree's columns are empty or differ in length")
    inner, at = feature != _LEAF, np.arange(count)
    if (np.minimum(low, high)[inner] <= at[inner]).any() or (np.maximum(low, high) >= count).any():
        raise ValueError("a node of a tree leads back or nowhere")
    return Tree(feature=feature, limit=limit, low=low, high=high, adds=adds)
