"""`walkgrade regrade`: earlier runs against another checklist."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., Any]
OLD, NEW = "school-bus-air-classic", "school-bus-air-california"
RUN = """[00:02] Front axle, left side.
[00:06] Steer tyre: at least four thirty-seconds of tread depth, checked with a gauge.
[00:30] Air brake check.
[00:34] Pump the brake pedal. The low air warning must come on at seventy psi, buzzer and light.
"""


@pytest.fixture
def reports(walkgrade: Command) -> Path:
    """Two trainees' graded runs; the words of one were kept."""
    for who, kinds in (("T-1", "html,json,words"), ("T-2", "json")):
        Path(f"{who}.txt").write_text(RUN, encoding="utf-8")
        words = ("-p", "yard-bus-air", "--trainee", who, "--out", "friday", "--write", kinds)
        assert walkgrade("grade", f"{who}.txt", *words).status == 0
    return Path("friday")


def test_what_changes_for_each_trainee(walkgrade: Command, reports: Path) -> None:
    before = {path: path.read_bytes() for path in reports.iterdir()}
    done = walkgrade("regrade", reports, "--checklist", NEW, "--old", OLD)
    assert done.status == 0, done.err
    for who in ("T-1", "T-2"):
        assert f"{who}.json ({who}): 1 of " in done.out
    changed = [line for line in done.out.splitlines() if "Low-air warning test: wrong -> " in line]
    assert len(changed) == 2
    # how sure the judge is of so short a talk is its affair; that 70 psi is no longer wrong is not
    assert all(line.endswith(("complete", "needs listening")) for line in changed)
    assert "1 of 2: Graded again from the lines of an earlier report" in done.out
    assert before == {path: path.read_bytes() for path in reports.iterdir()}, "old ones stay"
    out = Path(f"friday-{NEW}-1.0")
    assert {p.name for p in out.iterdir()} == {
        "T-1.html", "T-1.json", "T-2.html", "T-2.json", "what-changed.txt",
    }  # fmt: skip
    made = json.loads((out / "T-2.json").read_text("utf-8"))
    assert made["provenance"]["checklist"]["id"] == NEW
    assert made["attempt"]["trainee"] == "T-2"
    verdicts = {n["requirement"]: n["verdict"] for n in made["numbers"]}
    assert verdicts["air-brake.warning.pressure"] == "right"
    assert any(
        "lines of an earlier report" in n for n in made["provenance"]["transcript"]["notices"]
    )
    kept = json.loads((out / "T-1.json").read_text("utf-8"))
    assert not kept["provenance"]["transcript"]["notices"]
    assert walkgrade("cohort", out, "--out", "group").status == 0


def test_the_same_checklist_changes_nothing(walkgrade: Command, reports: Path) -> None:
    done = walkgrade("regrade", reports, "-c", OLD, "--out", "again", "--json")
    data = json.loads(done.out)
    assert data["checklist"]["id"] == OLD
    assert [row["changes"] for row in data["runs"]] == [[], []]
    assert [row["words"] for row in data["runs"]] == ["T-1.words.json", "T-2.json"]
    assert all(row["before"] == row["after"] for row in data["runs"])


def test_corrections_hold_where_the_same_is_asked(walkgrade: Command, reports: Path) -> None:
    for item in ("cab.horn", "air-brake.warning"):
        words = (reports / "T-1.json", item, "complete", "--who", "J.O.", "--why", "heard it")
        assert walkgrade("correct", *words).status == 0
    done = walkgrade("regrade", reports, "-c", NEW, "--out", "again")
    assert "the correction of air-brake.warning by J.O. no longer holds" in done.out
    made = json.loads(Path("again/T-1.json").read_text("utf-8"))
    assert [row["item"] for row in made["reviews"]] == ["cab.horn"]


def test_the_schools_own_points(walkgrade: Command, reports: Path) -> None:
    Path("ours.yaml").write_text(
        f'format: 1\nid: ours\nversion: "2"\ntitle: Ours\nbase: {OLD}\ndate: "2026-03-01"\n'
        "basis: [practice]\ntarget_percent: 50\npoints: {each: 2}\ndrop: [cab.horn]\n",
        encoding="utf-8",
    )
    done = walkgrade("regrade", reports, "-c", "ours.yaml")
    assert done.status == 0, done.err
    assert "Horn: no longer on the list (was missed)" in done.out
    made = json.loads(Path("friday-ours-2/T-1.json").read_text("utf-8"))
    assert made["target"]["percent"] == 50
    assert made["totals"]["points"] == 2


def test_old_results_are_not_written_over(walkgrade: Command, reports: Path) -> None:
    done = walkgrade("regrade", reports, "-c", NEW, "--out", reports)
    assert done.status == 2
    assert "[I09]" in done.err


def test_a_folder_without_runs(walkgrade: Command, tmp_path: Path) -> None:
    done = walkgrade("regrade", tmp_path / "here", "-c", NEW)
    assert done.status == 2
    assert "[I40]" in done.err


def test_a_run_without_words_and_a_broken_one_stop_no_other(
    walkgrade: Command, reports: Path
) -> None:
    document = json.loads((reports / "T-2.json").read_text("utf-8"))
    (reports / "T-3.json").write_text(json.dumps({**document, "lines": []}), encoding="utf-8")
    (reports / "T-4.json").write_text('{"format": "walkgrade-grade"}', encoding="utf-8")
    done = walkgrade("regrade", reports, "-c", NEW)
    assert done.status == 1
    assert "[I43]" in done.err
    assert "[I63] not looked at: T-4.json" in done.err
    assert "T-1.json (T-1)" in done.out


def test_a_vehicle_that_is_not_shipped_must_be_named(walkgrade: Command, reports: Path) -> None:
    path = reports / "T-2.json"
    document = json.loads(path.read_text("utf-8"))
    document["provenance"]["profile"]["id"] = "our-bus"
    path.write_text(json.dumps(document), encoding="utf-8")
    done = walkgrade("regrade", reports, "-c", NEW)
    assert (done.status, "[C03]" in done.err) == (1, True)
    assert walkgrade("regrade", reports, "-c", NEW, "-p", "yard-bus-air").status == 0
