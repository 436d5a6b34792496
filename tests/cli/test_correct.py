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


HEAD = "attempt,item,outcome,who,when,why\n"


@pytest.fixture
def friday(walkgrade, typed: Path, tmp_path: Path) -> Path:
    """Three graded runs in one folder, with pages and tables."""
    runs = tmp_path / "friday"
    runs.mkdir()
    for number in (1, 2, 3):
        text = f"{typed.read_text('utf-8')}[00:40] Run number {number}.\n"
        (runs / f"run{number}.txt").write_text(text, encoding="utf-8")
    out = tmp_path / "out"
    assert walkgrade("grade", runs, "--out", out, "--write", "html,json,csv").status == 0
    return out


def test_many_changes_from_one_file(walkgrade, friday: Path, tmp_path: Path) -> None:
    file = tmp_path / "c.csv"
    file.write_text(
        f"{HEAD}run1,{ITEM},wrong,J. Ortiz,2030-05-02,other bus\n"
        f"run1,{ITEM},missed,Ada Quill,2030-05-03,heard again\n"
        f"run3,cab.horn,complete,J. Ortiz,,at 3:12\n",
        encoding="utf-8",
    )
    before = (friday / "run2.json").read_bytes()
    old = outcome(friday / "run1.json")
    done = walkgrade("correct", "--from", file, friday)
    assert done.status == 0, done.err
    assert "3 changes in 2 runs, 0 already there." in done.out
    document = json.loads((friday / "run1.json").read_text("utf-8"))
    calls = [(row["old"], row["new"], row["who"], row["when"]) for row in document["reviews"]]
    assert calls == [
        (old, "wrong", "J. Ortiz", "2030-05-02"),
        ("wrong", "missed", "Ada Quill", "2030-05-03"),
    ]
    assert outcome(friday / "run1.json") == "missed"
    assert outcome(friday / "run3.json", "cab.horn") == "complete"
    assert (friday / "run2.json").read_bytes() == before
    page = (friday / "run1.html").read_text("utf-8")
    for text in ("J. Ortiz", "other bus", "Ada Quill", "heard again"):
        assert text in page
    assert ",missed,complete,yes," in (friday / "run1.csv").read_text("utf-8-sig")

    again = walkgrade("correct", "--from", file, friday)
    assert again.status == 0
    assert "0 changes in 0 runs, 3 already there." in again.out
    assert json.loads((friday / "run1.json").read_text("utf-8")) == document


def test_a_file_with_a_fault_changes_nothing(walkgrade, friday: Path, tmp_path: Path) -> None:
    file = tmp_path / "c.csv"
    file.write_text(
        f"{HEAD}run1,{ITEM},missed,Q,,x\nrun9,{ITEM},missed,Q,,x\nrun2,oil,missed,Q,,x\n",
        encoding="utf-8",
    )
    before = {path: path.read_bytes() for path in friday.iterdir()}
    done = walkgrade("correct", "--from", file, friday)
    assert done.status == 2
    assert "[I42]" in done.err
    for part in ("c.csv:3: attempt", "'run9'", "c.csv:4: item", "'oil'"):
        assert part in done.err
    assert {path: path.read_bytes() for path in friday.iterdir()} == before


def test_a_broken_document_does_not_stop_the_others(
    walkgrade, friday: Path, tmp_path: Path
) -> None:
    (friday / "run2.json").write_text("{", encoding="utf-8")
    file = tmp_path / "c.yaml"
    row = f"{{attempt: run1, item: {ITEM}, outcome: missed, who: Q, why: x}}"
    file.write_text(f"- {row}\n", encoding="utf-8")
    done = walkgrade("correct", "--from", file, friday)
    assert done.status == 1
    assert "[I61] not looked at: run2.json" in done.err
    assert outcome(friday / "run1.json") == "missed"


@pytest.mark.parametrize(
    ("words", "code", "hint"),
    [
        (["run.json"], "I01", "item, outcome, who, why"),
        (["run.json", ITEM, "missed", "--who", "Q"], "I01", "required: why"),
        (["--from", "c.csv", "folder", "--who", "Q"], "I01", "its own who"),
        (["--from", "gone.csv", "."], "I41", "gone.csv"),
    ],
)
def test_words_that_do_not_fit(walkgrade, words: list[str], code: str, hint: str) -> None:
    done = walkgrade("correct", *words)
    assert done.status == 2
    assert f"[{code}]" in done.err
    assert hint in done.err


def test_a_folder_that_is_none(walkgrade, tmp_path: Path) -> None:
    file = tmp_path / "c.csv"
    file.write_text(f"{HEAD}run1,{ITEM},missed,Q,,x\n", encoding="utf-8")
    done = walkgrade("correct", "--from", file, tmp_path / "gone")
    assert done.status == 2
    assert "[I40]" in done.err
