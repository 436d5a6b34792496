"""`walkgrade cohort` from a folder of graded runs to page and tables."""

from __future__ import annotations

import csv
import json
import shutil
import time
from pathlib import Path

import pytest

RUNS = {
    "monday-a.txt": ("T-01", "[00:02] Oil level, between add and full, no leaks.\n"),
    "monday-b.txt": ("T-02", "[00:02] Coolant level.\n[00:05] Oil level.\n"),
    "friday-a.txt": ("T-01", "[00:02] Oil level, between add and full, no leaks. Horn works.\n"),
}


@pytest.fixture(scope="module")
def graded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of three graded typed runs."""
    from walkgrade.cli.main import run

    folder = tmp_path_factory.mktemp("graded")
    for day, (name, (who, text)) in enumerate(RUNS.items(), start=1):
        (folder / name).write_text(text, encoding="utf-8")
        words = ["--trainee", who, "--taken-at", f"2030-05-0{day}", "--write", "json"]
        assert run(["grade", str(folder / name), "--out", str(folder / "class"), *words]) == 0
    return folder / "class"


@pytest.fixture
def folder(graded: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(graded, tmp_path / "class"))


def rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.read_text("utf-8-sig").splitlines()))


def test_page_and_tables_are_written(walkgrade, folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = walkgrade("cohort", folder, "--out", out)
    assert done.status == 0, done.err
    assert "2 trainees, 3 runs" in done.out
    assert "not an official pass mark" in " ".join(done.out.split())
    assert f"written: {out / 'cohort.html'}" in done.out
    assert sorted(path.name for path in out.iterdir()) == [
        "cohort.html",
        *(
            f"school-bus-air-classic-{name}.csv"
            for name in ("agreement", "changes", "coverage", "missed", "numbers", "runs")
        ),
    ]
    assert "<h1><bdi>class</bdi></h1>" in (out / "cohort.html").read_text("utf-8")
    counted = rows(out / "school-bus-air-classic-runs.csv")
    assert [(row["who"], row["file"]) for row in counted] == [
        ("T-01", "friday-a.json"),
        ("T-02", "monday-b.json"),
    ]
    covered = rows(out / "school-bus-air-classic-coverage.csv")
    document = json.loads((folder / "friday-a.json").read_text("utf-8"))
    assert {row["item"]: row["T-01"] for row in covered} == {
        item["id"]: item["outcome"] for item in document["items"]
    }


@pytest.mark.parametrize(("which", "count"), [("latest", 2), ("best", 2), ("all", 3)])
def test_which_runs_count(walkgrade, folder: Path, tmp_path: Path, which: str, count: int) -> None:
    done = walkgrade("cohort", folder, "--attempts", which, "--out", tmp_path / "out")
    assert done.status == 0
    assert len(rows(tmp_path / "out" / "school-bus-air-classic-runs.csv")) == count


def test_corrections_count(walkgrade, folder: Path, tmp_path: Path) -> None:
    before = walkgrade("cohort", folder, "--write", "csv", "--out", tmp_path / "before")
    assert before.status == 0
    changed = walkgrade(
        "correct", folder / "monday-b.json", "cab.horn", "complete", "--who", "Q", "--why", "heard"
    )
    assert changed.status == 0, changed.err
    walkgrade("cohort", folder, "--write", "csv", "--out", tmp_path / "after")
    name = "school-bus-air-classic-coverage.csv"
    told = [
        {row["item"]: row["T-02"] for row in rows(tmp_path / when / name)}["cab.horn"]
        for when in ("before", "after")
    ]
    assert told == ["missed", "complete"]


def test_a_broken_document_is_named_and_the_rest_is_done(
    walkgrade, folder: Path, tmp_path: Path
) -> None:
    (folder / "cut.json").write_text('{"format": "walkgr', encoding="utf-8")
    (folder / "other.json").write_text("{}", encoding="utf-8")
    done = walkgrade("cohort", folder, "--out", tmp_path / "out")
    assert done.status == 1
    assert "[I61] not counted: cut.json" in done.err
    assert "[I62] not counted: other.json" in done.err
    page = (tmp_path / "out" / "cohort.html").read_text("utf-8")
    assert "cut.json" in page
    assert "2 trainees" in done.out


def test_other_json_alone_is_no_failure(walkgrade, folder: Path, tmp_path: Path) -> None:
    (folder / "other.json").write_text("{}", encoding="utf-8")
    assert walkgrade("cohort", folder, "--out", tmp_path / "out").status == 0


def test_checklists_are_kept_apart_and_ids_are_no_paths(
    walkgrade, folder: Path, tmp_path: Path
) -> None:
    for number, name in enumerate(("../../x", "..-..-X")):
        document = json.loads((folder / "monday-a.json").read_text("utf-8"))
        document["provenance"]["checklist"]["id"] = name
        (folder / f"odd-{number}.json").write_text(json.dumps(document), encoding="utf-8")
    done = walkgrade("cohort", folder, "--out", tmp_path / "out", "--write", "csv,html")
    assert done.status == 0, done.err
    assert "3 checklists stand in this folder" in done.out
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"x-runs.csv", "x-2-runs.csv", "school-bus-air-classic-runs.csv"} <= names


def test_pictures_and_title(walkgrade, folder: Path, tmp_path: Path) -> None:
    done = walkgrade(
        "cohort", folder, "--write", "png,html", "--title", "Spring [b]class[/b]",
        "--target", "90", "--out", tmp_path / "out",
    )  # fmt: skip
    assert done.status == 0
    png = tmp_path / "out" / "school-bus-air-classic-sections-1.png"
    assert png.read_bytes().startswith(b"\x89PNG")
    assert (tmp_path / "out" / "school-bus-air-classic-change-1.png").is_file()
    page = (tmp_path / "out" / "cohort.html").read_text("utf-8")
    assert "Spring [b]class[/b]" in page
    assert "School's own target (90 %)" in page


def test_nothing_is_written_on_demand(walkgrade, folder: Path) -> None:
    assert walkgrade("cohort", folder, "--write", "none").status == 0
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["gone"], "I40"),
        (["."], "I40"),
        ([".", "--attempts", "first"], "I01"),
        ([".", "--write", "pdf"], "I01"),
        ([".", "--target", "101"], "I01"),
    ],
)
def test_bad_words(walkgrade, words: list[str], code: str) -> None:
    done = walkgrade("cohort", *words)
    assert done.status == 2
    assert f"[{code}]" in done.err


def test_a_folder_that_cannot_be_written_still_shows_the_result(
    walkgrade, folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import os

    def full(number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    done = walkgrade("cohort", folder, "--out", tmp_path / "out")
    assert done.status == 3
    assert "[O02]" in done.err
    assert "2 trainees" in done.out


def test_three_hundred_runs_take_less_than_twenty_seconds(
    walkgrade, folder: Path, tmp_path: Path
) -> None:
    document = json.loads((folder / "monday-a.json").read_text("utf-8"))
    big = tmp_path / "big"
    big.mkdir()
    for number in range(300):
        document["attempt"] |= {
            "id": f"run-{number}",
            "trainee": f"T-{number % 100:03}",
            "taken_at": f"2030-05-{1 + number // 100:02}T08:00",
        }
        text = json.dumps(document, indent=1)
        (big / f"run-{number:03}.json").write_text(text, encoding="utf-8")
    # The processor's own time: what else the machine does must not fail the test.
    began = time.process_time()
    done = walkgrade("cohort", big, "--out", tmp_path / "out")
    took = time.process_time() - began
    assert done.status == 0, done.err
    assert "100 trainees, 300 runs" in done.out
    assert took < 20, f"{took:.1f} s"
