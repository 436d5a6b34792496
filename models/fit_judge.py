"""Fit the judge: trees over what rules and readers say, and the marks of the doubtful band.

    python models/fit_judge.py [--heard DIR] [--out models/judge.json]

Recipe: one row of walkgrade.matching.weighing.FEATURES for each requirement of the check scripts but
those named in `FRESH` and of the tune scripts that the readers were trained without, typed and (with
--heard) recognised, by check voices. The readers have seen none of them, the recogniser neither.
Boosted trees (scikit-learn) are fitted to the rows: for typed words to the typed ones, for recognised
words to both kinds. Smaller ones ("second") are fitted to what these make of scripts left out in ten
groups, and to the item reader's answers, for items whose weakest required requirement lies in
[`LEAST`, `MOST`); the answers are those of networks that had not learnt from the run
(models/item_reader/left_out.npz, models/train_item_reader.py). The marks are then set on the rows of
their kind by scripts left out likewise, drawn three times: `said` where item kappa less `WORSE` times
false credit is best; `listen` under and `sure` over it where at most `LISTEN` of items fall between,
and fewest calls outside are wrong. "not_fitted" are the scripts in `FRESH`, read by the shipped item
reader, which has not learnt from them.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from sklearn.ensemble import HistGradientBoostingClassifier
from sklearn.metrics import cohen_kappa_score
from sklearn.model_selection import GroupKFold

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks.agreement import scripts
from models.judged_rows import FRESH, Rows, collect, scripts_of, unseen_by, weakest
from walkgrade.matching.judge import AGAIN, second_rows
from walkgrade.matching.weighing import FEATURES

LISTEN = 0.10  # share of items that may be sent to a human ear
WORSE = 3.0  # how much worse a false credit is than what kappa makes of it
LEAST, MOST = 0.05, 0.99
"""Items whose weakest required requirement has a chance between are read again as a whole."""


def trees_of() -> HistGradientBoostingClassifier:
    """Trees each of whose leaves must speak for many rows; each split is offered a third of the
    features, so that no single one decides everywhere."""
    return HistGradientBoostingClassifier(
        max_iter=200, max_leaf_nodes=24, learning_rate=0.06, l2_regularization=5.0,
        min_samples_leaf=100, max_features=0.3, early_stopping=False, random_state=0,
    )  # fmt: skip


def second_trees_of() -> HistGradientBoostingClassifier:
    """Few and small: there is one row in five, and two of its eight columns tell nearly all."""
    return HistGradientBoostingClassifier(
        max_iter=80, max_leaf_nodes=8, learning_rate=0.06, l2_regularization=5.0,
        min_samples_leaf=60, early_stopping=False, random_state=0,
    )  # fmt: skip


def in_tens() -> list[GroupKFold]:
    """Ten groups, drawn three times: one drawing moves the mark by five hundredths."""
    return [GroupKFold(10, shuffle=True, random_state=n) for n in range(3)]


def left_out(rows: Rows, also: Rows, groups: GroupKFold) -> np.ndarray:
    """Probabilities of each run's rows by a judge fitted to other scripts, of `also` too."""
    values, earned, _, _ = rows.arrays()
    script, others = scripts_of(rows), scripts_of(also)
    chance = np.zeros(len(earned))
    for fit, test in groups.split(values, earned, script):
        judge = fitted_to(rows, also, fit, ~np.isin(others, script[test]))
        chance[test] = judge.predict_proba(values[test])[:, 1]
    return chance


def fitted_to(
    rows: Rows, also: Rows, mine: np.ndarray, theirs: np.ndarray
) -> HistGradientBoostingClassifier:
    """Trees fitted to the chosen rows of both."""
    values, earned, _, _ = rows.arrays()
    values, earned = values[mine], earned[mine]
    if also.rows:
        more, told, _, _ = also.arrays()
        values, earned = np.vstack([values, more[theirs]]), np.concatenate([earned, told[theirs]])
    return trees_of().fit(values, earned)


def marks(rows: Rows, chances: Sequence[np.ndarray]) -> dict[str, float]:
    """said: where kappa less `WORSE` times false credit is best, over all `chances`. listen, sure:
    where the calls outside have the fewest errors, as far as the share sent to an ear allows."""
    lows = [weakest(rows, chance) for chance in chances]
    truth = np.array([rows.complete[key] for key in lows[0]])
    scores = np.array([list(low.values()) for low in lows])

    def worth(mark: float) -> float:
        given = scores >= mark
        kappa = np.mean([cohen_kappa_score(truth, one) for one in given])
        return float(kappa - WORSE * (given & ~truth).mean())

    said = max(np.arange(0.4, 0.96, 0.01), key=worth)
    low, high = min(
        (
            (low, high)
            for low in np.arange(0.02, said + 0.005, 0.01)
            for high in np.arange(said, 0.995, 0.01)
            if ((scores >= low) & (scores < high)).mean() <= LISTEN
        ),
        key=lambda pair: _errors_outside(scores, truth, said, *pair),
    )
    return {
        name: round(float(x), 2) for name, x in (("said", said), ("listen", low), ("sure", high))
    }


def _errors_outside(
    scores: np.ndarray, truth: np.ndarray, said: float, low: float, high: float
) -> float:
    """Share of wrong calls among those that are not sent to an ear."""
    outside = (scores < low) | (scores >= high)
    return float(((scores >= said) != truth)[outside].mean())


def describe(rows: Rows, chance: np.ndarray, at: dict[str, float]) -> dict[str, float]:
    """Item kappa, shares of false and missed credit, and what the band costs and saves."""
    low = weakest(rows, chance)
    truth = np.array([rows.complete[key] for key in low])
    score = np.array(list(low.values()))
    given = score >= at["said"]
    inside = (score >= at["listen"]) & (score < at["sure"])
    return {
        "items": len(truth), "kappa": round(float(cohen_kappa_score(truth, given)), 4),
        "false": round(float((given & ~truth).mean()), 4), "missed": round(float((~given & truth).mean()), 4),
        "listen": round(float(inside.mean()), 4),
        "errors_in_rest": round(float((given != truth)[~inside].mean()), 4),
        "false_unheard": round(float((given & ~truth & ~inside).mean()), 4),
    }  # fmt: skip


class Opened:
    """Rows with what the first trees make of them, left out, in each drawing."""

    def __init__(self, rows: Rows, chances: Sequence[np.ndarray]) -> None:
        self.rows, self.chances = rows, chances
        self.earned, self.script = np.array(rows.earned), scripts_of(rows)
        self.told = np.concatenate(rows.told) if rows.told else np.zeros(0)
        self.held = np.array(rows.held, bool)
        self.features = np.vstack(rows.rows) if rows.rows else np.zeros((0, len(FEATURES)))

    def doubtful(self, drawing: int) -> np.ndarray:
        """The rows of items that are read again, as walkgrade/matching/again.py chooses them."""
        low = weakest(self.rows, self.chances[drawing])
        items = zip(self.rows.run, self.rows.item, strict=True)
        found = np.array([LEAST <= low.get(key, 1.0) < MOST for key in items], bool)
        return found & ~np.isnan(self.told)

    def columns(self, drawing: int, chosen: np.ndarray) -> np.ndarray:
        """What the second trees go by."""
        return second_rows(self.chances[drawing][chosen], self.told[chosen], self.features[chosen])

    def reread(self, chance: np.ndarray, model: Any, drawing: int, chosen: np.ndarray) -> None:
        """Put the second trees' chances where rows are chosen; those `held` are not raised."""
        found = model.predict_proba(self.columns(drawing, chosen))[:, 1]
        low = np.minimum(found, self.chances[drawing][chosen])
        chance[chosen] = np.where(self.held[chosen], low, found)


def second_fitted(parts: Sequence[tuple[Opened, np.ndarray]], drawing: int) -> Any:
    """Second trees fitted to the chosen rows of each part."""
    return second_trees_of().fit(
        np.vstack([one.columns(drawing, chosen) for one, chosen in parts]),
        np.concatenate([one.earned[chosen] for one, chosen in parts]),
    )


def second_left_out(mine: Opened, also: Opened, groups: GroupKFold, drawing: int) -> np.ndarray:
    """`left_out`, with doubtful items read again."""
    chance = mine.chances[drawing].copy()
    here, there = mine.doubtful(drawing), also.doubtful(drawing) if also.rows.rows else None
    for _, test in groups.split(chance, chance, mine.script):
        inside = np.zeros(len(chance), bool)
        inside[test] = True
        parts = [(mine, here & ~inside)]
        if there is not None:
            parts.append((also, there & ~np.isin(also.script, mine.script[test])))
        model = second_fitted(parts, drawing)
        mine.reread(chance, model, drawing, here & inside)
    return chance


def opened(mine: Rows, also: Rows) -> Opened:
    """The rows with the first trees' chances by scripts left out."""
    return Opened(mine, [left_out(mine, also, groups) for groups in in_tens()])


def fit(mine: Opened, fresh: Rows, also: Opened) -> dict[str, Any]:
    """A bench: marks by scripts left out, the trees fitted to all, measures of both."""
    chances = [second_left_out(mine, also, groups, n) for n, groups in enumerate(in_tens())]
    chance, at = chances[0], marks(mine.rows, chances)
    every = (np.ones(len(one.earned), bool) for one in (mine, also))
    model = fitted_to(mine.rows, also.rows, *every)
    parts = [(one, one.doubtful(0)) for one in (mine, also) if one.rows.rows]
    second = second_fitted(parts, 0)
    body: dict[str, Any] = {
        "rows": len(mine.earned), **at, "left_out": describe(mine.rows, chance, at),
        "left_out_by_condition": by_condition(mine.rows, chance, at),
        "left_out_first": describe(mine.rows, mine.chances[0], at),
    }  # fmt: skip
    if fresh.rows:
        new = Opened(fresh, [model.predict_proba(fresh.arrays()[0])[:, 1]])
        found, chosen = new.chances[0].copy(), new.doubtful(0)
        new.reread(found, second, 0, chosen)
        body["not_fitted"] = describe(fresh, found, at)
        body["not_fitted_by_condition"] = by_condition(fresh, found, at)
    body["reliability"] = reliability(mine.earned, chance)
    body |= written_trees(model, FEATURES)
    names = ("first", "item", *AGAIN)
    return body | {"second": {"least": LEAST, "most": MOST, **written_trees(second, names)}}


def by_condition(rows: Rows, chance: np.ndarray, at: dict[str, float]) -> dict[str, Any]:
    """`describe` for each sound condition; empty for typed runs."""
    said = np.array([(name.split("--") + [""] * 3)[2] for name in rows.run])
    found = {}
    for condition in sorted({*said} - {""}):
        here = said == condition
        part = Rows()
        part.rows = [np.vstack(rows.rows)[here]]
        part.run, part.item = (list(np.array(x)[here]) for x in (rows.run, rows.item))
        part.required = list(np.array(rows.required)[here])
        part.complete = rows.complete
        found[condition] = describe(part, chance[here], at)
    return found


def written_trees(model: HistGradientBoostingClassifier, names: Sequence[str]) -> dict[str, Any]:
    """Bias and trees as walkgrade/matching/trees.py reads them. scikit-learn has no public way to
    read its trees; tests/matching/test_trees.py holds what is written against its own answers."""
    trees = []
    for (predictor,) in model._predictors:
        nodes = predictor.nodes
        leaf = nodes["is_leaf"].astype(bool)
        trees.append({
            "feature": [None if end else names[at] for end, at in zip(leaf, nodes["feature_idx"], strict=True)],
            "limit": [0.0 if end else float(x) for end, x in zip(leaf, nodes["num_threshold"], strict=True)],
            "low": [0 if end else int(x) for end, x in zip(leaf, nodes["left"], strict=True)],
            "high": [0 if end else int(x) for end, x in zip(leaf, nodes["right"], strict=True)],
            "adds": [round(float(x), 6) if end else 0.0 for end, x in zip(leaf, nodes["value"], strict=True)],
        })  # fmt: skip
    return {"bias": round(float(np.ravel(model._baseline_prediction)[0]), 6), "trees": trees}


def reliability(earned: np.ndarray, chance: np.ndarray) -> list[list[float]]:
    """[lowest chance of the band, requirements in it, mean chance, share earned] in ten bands."""
    bands = []
    for start in np.arange(0, 1, 0.1):
        inside = (chance >= start) & (chance < start + 0.1 + (start > 0.85))
        if inside.any():
            bands.append([round(float(start), 1), int(inside.sum()),
                          round(float(chance[inside].mean()), 3), round(float(earned[inside].mean()), 3)])  # fmt: skip
    return bands


def written(body: dict[str, Any]) -> str:
    """The judge as a file: a tree is one line."""
    text = json.dumps(body, indent=1)
    for bench in ("typed", "recognised"):
        for part, deep in ((body[bench], 3), (body[bench].get("second", {}), 4)):
            for tree in part.get("trees", ()):
                text = text.replace(_indented(tree, deep), json.dumps(tree), 1)
    return text + "\n"


def _indented(tree: dict[str, Any], deep: int) -> str:
    return json.dumps(tree, indent=1).replace("\n", "\n" + " " * deep)


def main(words: Sequence[str]) -> int:
    """Fit, print, write."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--heard", type=Path, help="check scripts as benchmarks.hear writes them")
    parser.add_argument("--out", type=Path, default=Path(__file__).resolve().parent / "judge.json")
    args = parser.parse_args(words)
    unseen = unseen_by(Path(__file__).resolve().parent / "run_reader")
    found = collect(args.heard, unseen)
    fitted_on = [script.id for script in scripts("check") if script.id not in FRESH]
    body: dict[str, Any] = {"format": 1, "fitted_on": [*fitted_on, *unseen]}
    nothing, typed = Opened(Rows(), []), opened(found["typed", True], Rows())
    body["typed"] = fit(typed, found["typed", False], nothing)
    body["recognised"] = body["typed"]
    if args.heard:
        recognised = opened(found["recognised", True], typed.rows)
        body["recognised"] = fit(recognised, found["recognised", False], typed)
    for kind in ("typed", "recognised"):
        told = {k: v for k, v in body[kind].items() if k not in ("trees", "second")}
        print(kind, json.dumps(told))
    args.out.write_text(written(body), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
