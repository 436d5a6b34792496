"""The judge: from the weighed evidence to the chance that a requirement was earned.

Decides: probability = 1 / (1 + exp(-(bias + weights · row + what the trees add))), with weights or
trees fitted by models/fit_judge.py on labelled runs the readers never saw; which items are doubtful
enough to be read again as a whole, and what that makes of them; and the marks between which a call
goes to a human ear.
Conventions: a bench has a weight for each of `weighing.FEATURES`, or trees; probabilities 0..1.
Public: `Judge`, `Bench`, `Marks`, `Second`, `judge_from`, `second_rows`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from walkgrade.language.item_reader import ItemReader
from walkgrade.matching.trees import Tree, tree_from
from walkgrade.matching.weighing import FEATURES, Weighing

AGAIN = ("reader", "rules_said", "carried", "same_twin", "optional", "limit")
"""Features that the second opinion sees beside the first one's log odds and the item reader's."""
_SECOND = ("first", "item", *AGAIN)
_COLUMNS = [FEATURES.index(name) for name in AGAIN]
_NEVER = 1e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """From `said` on a requirement counts as said; an item whose weakest required requirement
    lies in [`listen`, `said`) needs a human ear. One in [`said`, `sure`) counts, but is a close
    call that a human ear should confirm; with `sure` at or under `said` nothing is."""

    said: float
    listen: float
    sure: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Second:
    """The opinion after an item was read as a whole. Asked for where the weakest required
    requirement of an item has a chance in [`least`, `most`)."""

    least: float
    most: float
    bias: float
    trees: tuple[Tree, ...]

    def chances(self, rows: NDArray[np.float64]) -> NDArray[np.float64]:
        """Chances for rows as `second_rows` makes them."""
        found = np.full(len(rows), self.bias)
        for tree in self.trees:
            found = found + tree.of(rows)
        chance: NDArray[np.float64] = 1.0 / (1.0 + np.exp(-np.clip(found, -30, 30)))
        return chance


def second_rows(
    first: NDArray[np.float64], item: NDArray[np.float64], rows: NDArray[np.float64]
) -> NDArray[np.float64]:
    """What the second opinion goes by: the first chances' log odds, the item reader's, `AGAIN`."""
    safe = np.clip(first, _NEVER, 1.0 - _NEVER)
    return np.column_stack([np.log(safe / (1.0 - safe)), item, rows[:, _COLUMNS]])


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """Weights or trees, and marks, for one kind of transcript; `second` where it reads again."""

    bias: float
    weights: tuple[float, ...]
    marks: Marks
    trees: tuple[Tree, ...] = ()
    second: Second | None = None

    def chances(self, weighing: Weighing) -> dict[str, float]:
        """Requirement id -> probability that it was earned."""
        found = self.bias + weighing.rows @ np.array(self.weights)
        for tree in self.trees:
            found = found + tree.of(weighing.rows)
        chance: NDArray[np.float64] = 1.0 / (1.0 + np.exp(-np.clip(found, -30, 30)))
        return dict(zip(weighing.requirements, map(float, chance), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Judge:
    """One bench for words that were typed, one for words a recogniser heard, and who reads doubtful
    items again."""

    typed: Bench
    recognised: Bench
    items: ItemReader | None = None

    def bench(self, *, recognised: bool) -> Bench:
        """The bench for a transcript."""
        return self.recognised if recognised else self.typed


def judge_from(body: Mapping[str, Any]) -> Judge:
    """A judge from its written form (models/judge.json).

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError : when something is missing or not a number, or
        the weights are for other features.
    """
    return Judge(typed=_bench(body["typed"]), recognised=_bench(body["recognised"]))


def _bench(body: Mapping[str, Any]) -> Bench:
    trees = tuple(tree_from(one, FEATURES) for one in body.get("trees", ()))
    weights = {str(name): float(value) for name, value in body.get("weights", {}).items()}
    if trees and not weights:
        weights = dict.fromkeys(FEATURES, 0.0)
    if set(weights) != set(FEATURES):
        raise ValueError(f"weights for {sorted(weights)}, wanted {sorted(FEATURES)}")
    marks = Marks(
        said=float(body["said"]), listen=float(body["listen"]), sure=float(body.get("sure", 0.0))
    )
    return Bench(
        bias=float(body["bias"]), weights=tuple(weights[name] for name in FEATURES), marks=marks,
        trees=trees, second=_second(body["second"]) if "second" in body else None,
    )  # fmt: skip


def _second(body: Mapping[str, Any]) -> Second:
    trees = tuple(tree_from(one, _SECOND) for one in body["trees"])
    least, most, bias = (float(body[name]) for name in ("least", "most", "bias"))
    return Second(least=least, most=most, bias=bias, trees=trees)
