"""Labels asked about again (seeds/asked_again.csv): counted rightly, and followed."""

from __future__ import annotations

import pandas as pd
import pytest

from benchmarks.agreement import SCRIPTS, fitted
from seeds.asked_again import agreement, counts, load_asked, sheet
from seeds.script import load_script
from seeds.truth import ItemOutcome, truth_of
from walkgrade.checklists.library import find_profile

COLUMNS = ["round", "run", "item", "why", "label", "second", "sure", "third"]
ROWS = [
    (1, "a", "x", "credited", "not", "complete", "yes", "complete"),
    (1, "a", "y", "credited", "not", "complete", "no", "not"),
    (1, "a", "z", "credited", "not", "not", "yes", "complete"),
    (1, "b", "x", "credited", "not", "not", "yes", ""),
    (1, "b", "y", "agreed", "complete", "complete", "yes", "complete"),
]
NOT_FOLLOWED = {
    "report-16",
    "tune-1117",
    "tune-1133",
    "tune-1166",
    "tune-1177",
    "tune-1333",
    "tune-1336",
    "tune-1347",
}
"""Runs whose changed labels would have been illegal (seeds.check_labels)."""


def test_answers_are_counted_by_reason() -> None:
    found = counts(pd.DataFrame(ROWS, columns=COLUMNS))
    assert found.loc[(1, "credited", "not")].tolist() == [4, 2, 1, 1]
    assert found.loc[(1, "agreed", "complete")].tolist() == [1, 0, 0, 0]


def test_items_nobody_doubted_tell_how_alike_two_labellers_are() -> None:
    assert agreement(pd.DataFrame(ROWS, columns=COLUMNS)) == (1, 2)


def test_a_sheet_shows_words_and_requirements_and_no_label() -> None:
    script = load_script(SCRIPTS / "tune-1240.yaml")
    shown = sheet(script, ["engine.coolant"])
    assert "  3  Juices. Engine oil, dead engine" in shown
    assert " 15  [EXAMINER] You may keep going." in shown
    assert "    - cap: cap tight (optional)" in shown
    assert "earns" not in shown


def test_an_unknown_item_is_refused() -> None:
    script = load_script(SCRIPTS / "tune-1240.yaml")
    with pytest.raises(KeyError):
        sheet(script, ["engine.flux-capacitor"])


def test_labels_follow_two_of_three() -> None:
    asked = load_asked()
    settled = asked[(asked["second"] != asked["label"]) & (asked["third"] == asked["second"])]
    astray = []
    for run, rows in settled.groupby("run"):
        script = load_script(SCRIPTS / f"{run}.yaml")
        truth = truth_of(script, fitted(script), find_profile(script.profile))
        for item, second in zip(rows["item"], rows["second"], strict=True):
            if (truth[item] == ItemOutcome.COMPLETE) != (second == "complete"):
                astray.append(run)
    assert len(settled) > 200
    assert set(astray) <= NOT_FOLLOWED
