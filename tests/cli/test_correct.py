"""`walkgrade correct`: the change counts, is kept with who and why, and survives a new grading."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

ITEM = "engine.oil-level"


@pytest.fixture
def graded(walkgrade, typed: Path, tmp_path: Path) -> Path:
    assert walkgrade("grade", typed, "--out", tmp_path / "out").status == 0
    return tmp_path / "out" / "typed.json"


def outcome(document: Path, item: str = ITEM) -> str:
    rows = json.loads(document.read_text("utf-8"))["items"]
    return next(row["outcome"] for row in rows if row["id"] == item)


def test_a_change_counts_and_is_kept(walkgrade, graded: Path) -> None:
    before = json.loads(graded.read_text("utf-8"))["totals"]["points"]
    old = outcome(graded)
    new = "missed" if old == "complete" else "complete"
    done = walkgrade("correct", graded, ITEM, new, "--who", "J. Ortiz", "--why", "other bus")
    assert done.status == 0, done.err
    document = json.loads(graded.read_text("utf-8"))
    assert outcome(graded) == new
    assert document["totals"]["points"] == before + (1 if new == "complete" else -1)
    (review,) = document["reviews"]
    assert (review["old"], review["new"], review["who"]) == (old, new, "J. Ortiz")
    assert review["why"] == "other bus"
    assert review["when"][:2] == "20"
    page = graded.with_suffix(".html").read_text("utf-8")
    assert "J. Ortiz" in page
    assert "other bus" in page


def test_changes_add_up_and_survive_a_new_grading(
    walkgrade, graded: Path, typed: Path, tmp_path: Path
) -> None:
    for call, who in (("wrong", "A"), ("named-only", "B")):
        assert walkgrade("correct", graded, ITEM, call, "--who", who, "--why", "x").status == 0
    assert outcome(graded) == "named only"
    done = walkgrade("grade", typed, "--corrections", graded, "--out", tmp_path / "again")
    assert done.status == 0, done.err
    again = json.loads((tmp_path / "again" / "typed.json").read_text("utf-8"))
    assert [row["who"] for row in again["reviews"]] == ["A", "B"]
    assert outcome(tmp_path / "again" / "typed.json") == "named only"


def test_the_page_keeps_its_recording(walkgrade, graded: Path) -> None:
    page = graded.with_suffix(".html")
    text = page.read_text("utf-8")
    player = '<audio controls preload="metadata" src="./a%20b.wav"></audio>'
    page.write_text(text.replace("</main>", f"{player}</main>"), encoding="utf-8")
    walkgrade("correct", graded, ITEM, "wrong", "--who", "A", "--why", "x")
    assert 'src="./a%20b.wav"' in page.read_text("utf-8")


@pytest.mark.parametrize(
    ("item", "call", "code", "hint"),
    [
        ("engine.oil-levle", "complete", "I07", ITEM),
        (ITEM, "perfect", "I01", "complete"),
    ],
)
def test_bad_changes_change_nothing(
    walkgrade, graded: Path, item: str, call: str, code: str, hint: str
) -> None:
    before = graded.read_bytes()
    done = walkgrade("correct", graded, item, call, "--who", "A", "--why", "x")
    assert done.status == 2
    assert f"[{code}]" in done.err
    assert hint in done.err
    assert graded.read_bytes() == before


def test_other_files_are_refused(walkgrade, typed: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.json"
    other.write_text('{"a": 1}', encoding="utf-8")
    done = walkgrade("correct", other, ITEM, "wrong", "--who", "A", "--why", "x")
    assert done.status == 2
    assert "[I62]" in done.err
    done = walkgrade("grade", typed, typed, tmp_path / "b.txt", "--corrections", other)
    assert done.status == 2
    assert "[I08]" in done.err
