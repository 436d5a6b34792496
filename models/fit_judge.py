"""Fit the judge: weights of rules and run reader, and the marks of the doubtful band.

    python models/fit_judge.py [--heard DIR] [--out models/judge.json]

Recipe: one row of walkgrade.matching.weighing.FEATURES for each requirement of the check scripts but
those named in `FRESH` and of the tune scripts that the readers were trained without, typed and (with
--heard) recognised, by check voices. The readers have seen none of them, the recogniser neither.
Boosted trees (scikit-learn) are fitted to the rows: for typed words to the typed ones, for recognised
words to both kinds. The marks are then set on the rows of their kind by scripts left out in ten
groups, drawn three times: `said` where item kappa less `WORSE` times false credit is best; `listen`
under and `sure` over it where at most `LISTEN` of items fall between, and fewest calls outside are
wrong. "not_fitted" are the scripts in `FRESH`.
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

from benchmarks.agreement import fitted, scripts
from seeds.script import Script, to_transcript
from seeds.truth import requirements_of, truth_of
from walkgrade.checklists.library import find_profile
from walkgrade.language.read import read
from walkgrade.language.run_reader import RunReader
from walkgrade.matching.match import weighed
from walkgrade.matching.weighing import FEATURES
from walkgrade.speech.records import Transcript
from walkgrade.speech.transcript_json import from_data
from walkgrade.trained import load_readers

FRESH = tuple(f"check-{n}" for n in (11, 12, 13, 14, 21, 22, 23, 24, 25, 26))
LISTEN = 0.10  # share of items that may be sent to a human ear
WORSE = 3.0  # how much worse a false credit is than what kappa makes of it


class Rows:
    """Weighed requirements of many runs, with their truth."""

    def __init__(self) -> None:
        self.rows: list[np.ndarray] = []
        self.earned: list[bool] = []
        self.run: list[str] = []
        self.item: list[str] = []
        self.required: list[bool] = []
        self.complete: dict[tuple[str, str], bool] = {}

    def add(self, script: Script, transcript: Transcript, run: str, reader: RunReader) -> None:
        checklist = fitted(script)
        reading = read(transcript, checklist, reader)
        found = weighed(reading, checklist)
        standing = requirements_of(script)
        truth = truth_of(script, checklist, find_profile(script.profile))
        owner = {r.id: (i.id, r.required) for i in checklist.items for r in i.requirements}
        self.rows.append(found.rows)
        for name in found.requirements:
            self.earned.append(standing.get(name) == "earned")
            self.run.append(run)
            self.item.append(owner[name][0])
            self.required.append(owner[name][1])
        self.complete.update({(run, item): kind == "complete" for item, kind in truth.items()})

    def arrays(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        return (
            np.vstack(self.rows),
            np.array(self.earned),
            np.array(self.run),
            np.array(self.required),
        )


def collect(heard: Path | None, unseen: Sequence[str]) -> dict[tuple[str, bool], Rows]:
    """Rows by kind (typed, recognised) and whether they are fitted to."""
    reader = load_readers()
    found = {(kind, fit): Rows() for kind in ("typed", "recognised") for fit in (True, False)}
    for script in scripts("check"):
        fit = script.id not in FRESH
        add_heard(found["recognised", fit], script, heard, reader)
        found["typed", fit].add(script, to_transcript(script), script.id, reader)
        print(script.id, file=sys.stderr, flush=True)
    for script in scripts("tune"):
        if script.id in unseen:
            add_heard(found["recognised", True], script, heard, reader)
            found["typed", True].add(script, to_transcript(script), script.id, reader)
    return found


def add_heard(rows: Rows, script: Script, heard: Path | None, reader: RunReader) -> None:
    """Add every recording of a script in the folder `heard`."""
    for path in sorted(heard.glob(f"{script.id}--*.json")) if heard else ():
        body = json.loads(path.read_text("utf-8"))
        if "transcript" in body:
            rows.add(script, from_data(body["transcript"]), path.stem, reader)


def unseen_by(reader: Path) -> list[str]:
    """The tune scripts that a reader was trained without."""
    body = json.loads((reader / "reader.json").read_text("utf-8"))
    return sorted(body["trained_on"]["without"])


def weakest(rows: Rows, chance: np.ndarray) -> dict[tuple[str, str], float]:
    """(run, item) -> probability of its weakest required requirement."""
    low: dict[tuple[str, str], float] = {}
    for at, p in enumerate(chance):
        if rows.required[at]:
            key = rows.run[at], rows.item[at]
            low[key] = min(low.get(key, 1.0), float(p))
    return low


def trees_of() -> HistGradientBoostingClassifier:
    """Trees each of whose leaves must speak for many rows; each split is offered a third of the
    features, so that no single one decides everywhere."""
    return HistGradientBoostingClassifier(
        max_iter=200, max_leaf_nodes=24, learning_rate=0.06, l2_regularization=5.0,
        min_samples_leaf=100, max_features=0.3, early_stopping=False, random_state=0,
    )  # fmt: skip


def in_tens() -> list[GroupKFold]:
    """Ten groups, drawn three times: one drawing moves the mark by five hundredths."""
    return [GroupKFold(10, shuffle=True, random_state=n) for n in range(3)]


def scripts_of(rows: Rows) -> np.ndarray:
    """The script of each row."""
    return np.array([name.split("--")[0] for name in rows.run])


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


def fit(mine: Rows, fresh: Rows, also: Rows) -> dict[str, Any]:
    """A bench: marks by scripts left out, the trees fitted to all, measures of both."""
    chances = [left_out(mine, also, groups) for groups in in_tens()]
    chance, at = chances[0], marks(mine, chances)
    model = fitted_to(mine, also, *(np.ones(len(rows.earned), bool) for rows in (mine, also)))
    body: dict[str, Any] = {
        "rows": len(mine.earned), **at, "left_out": describe(mine, chance, at),
        "left_out_by_condition": by_condition(mine, chance, at),
    }  # fmt: skip
    if fresh.rows:
        found = model.predict_proba(fresh.arrays()[0])[:, 1]
        body["not_fitted"] = describe(fresh, found, at)
        body["not_fitted_by_condition"] = by_condition(fresh, found, at)
    body["reliability"] = reliability(np.array(mine.earned), chance)
    return body | written_trees(model)


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


def written_trees(model: HistGradientBoostingClassifier) -> dict[str, Any]:
    """Bias and trees as walkgrade/matching/trees.py reads them. scikit-learn has no public way to
    read its trees; tests/matching/test_trees.py holds what is written against its own answers."""
    trees = []
    for (predictor,) in model._predictors:
        nodes = predictor.nodes
        leaf = nodes["is_leaf"].astype(bool)
        trees.append({
            "feature": [None if end else FEATURES[at] for end, at in zip(leaf, nodes["feature_idx"], strict=True)],
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
        for tree in body[bench].get("trees", ()):
            text = text.replace(_indented(tree), json.dumps(tree), 1)
    return text + "\n"


def _indented(tree: dict[str, Any]) -> str:
    return json.dumps(tree, indent=1).replace("\n", "\n   ")


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
    typed = found["typed", True]
    body["typed"] = fit(typed, found["typed", False], Rows())
    body["recognised"] = body["typed"]
    if args.heard:
        body["recognised"] = fit(found["recognised", True], found["recognised", False], typed)
    for kind in ("typed", "recognised"):
        told = {k: v for k, v in body[kind].items() if k != "trees"}
        print(kind, json.dumps(told))
    args.out.write_text(written(body), "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
