"""The command as a whole: help, version, faults, and the small commands."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from walkgrade import __version__
from walkgrade.cli import exits
from walkgrade.cli.results import distinct_names
from walkgrade.errors import InputError, OutputError

DEFAULT = "school-bus-air-classic"


def test_help_and_version(walkgrade) -> None:
    assert walkgrade("--version").out.strip() == f"walkgrade {__version__}"
    shown = walkgrade("--help")
    assert shown.status == 0
    for command in ("grade", "transcribe", "checklist", "basis"):
        assert command in shown.out
    for code, meaning in exits.MEANINGS:
        assert f"  {code:<4} {meaning}" in shown.out
    assert "no official" in " ".join(shown.out.split()) or "official pass mark" in shown.out
    assert walkgrade().out == shown.out


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["gade", "x"], "'grade'"),
        (["checklist", "lst"], "'list'"),
        (["grade"], "RUN"),
        (["grade", "x", "--checklst", "y"], "'--checklist'"),
        (["wobble"], "choose from"),
    ],
)
def test_misspelt_words(walkgrade, words: list[str], hint: str) -> None:
    done = walkgrade(*words)
    assert done.status == 2
    assert "[I01]" in done.err
    assert hint in done.err


def test_the_process_ends_with_the_command_s_code(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "walkgrade", "grade", tmp_path / "gone.txt"],
        capture_output=True,
        text=True,
        check=False,
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).resolve().parents[2])},
    )
    assert done.returncode == 2
    assert "[I20]" in done.stderr


def test_a_reader_that_goes_away_is_no_fault(tmp_path: Path) -> None:
    done = subprocess.run(
        f"{sys.executable} -m walkgrade checklist show {DEFAULT} --ids | head -n 1",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).resolve().parents[2])},
    )
    assert done.returncode == 0
    assert done.stderr == ""


@pytest.mark.parametrize(
    ("failures", "files", "status"),
    [([], 3, 0), ([2], 3, 1), ([2, 2], 2, 2), ([3], 1, 3), ([2, 3], 2, 3), ([70], 1, 70)],
)
def test_one_exit_code_for_many_files(failures: list[int], files: int, status: int) -> None:
    assert exits.joint(failures, files) == status


@pytest.mark.parametrize(
    ("error", "status", "text"),
    [
        (InputError("I01", "Odd.", "Mend it."), 2, "[I01] Odd."),
        (OutputError("O01", "Shut."), 3, "[O01] Shut."),
        (KeyboardInterrupt(), 130, "Stopped."),
        (OSError(28, "No space left on device"), 3, "[O02]"),
        (RuntimeError("planted"), 70, "[X01]"),
    ],
)
def test_every_ending_has_its_code(
    error: BaseException, status: int, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail() -> int:
        raise error

    assert exits.guarded(fail, ["grade"]) == status
    shown = capsys.readouterr()
    assert text in shown.err
    assert "Traceback" not in shown.err
    assert shown.out == ""


def test_names_stay_apart() -> None:
    paths = [Path("a/run.wav"), Path("b/run.wav"), Path("b/run.txt"), Path("c.wav")]
    names = distinct_names(paths)
    assert list(names.values()) == ["a-run", "b-run", "b-run-2", "c"]


def test_checklists_are_listed_shown_and_checked(walkgrade, tmp_path: Path) -> None:
    listed = walkgrade("checklist", "list")
    assert listed.status == 0
    assert DEFAULT in listed.out
    assert "yard-bus-air" in listed.out
    sheet = walkgrade("checklist", "show", DEFAULT)
    with_ids = walkgrade("checklist", "show", DEFAULT, "--ids")
    assert len(with_ids.out) > len(sheet.out)
    fitted = walkgrade("checklist", "show", DEFAULT, "--profile", "yard-bus-air", "--ids")
    assert 0 < len(fitted.out) <= len(with_ids.out)
    assert walkgrade("checklist", "check", DEFAULT).out.startswith(f"{DEFAULT}: good")
    (tmp_path / "bad.yaml").write_text("format: 1\nsections: []\nodd: 1\n", encoding="utf-8")
    bad = walkgrade("checklist", "check", tmp_path / "bad.yaml")
    assert bad.status == 2
    assert "[C02]" in bad.err
    assert "bad.yaml:3" in bad.err
    both = walkgrade("checklist", "check", tmp_path / "bad.yaml", DEFAULT)
    assert both.status == 1


def test_basis_by_id_row_and_name(walkgrade) -> None:
    by_name = walkgrade("basis", "oil level", "--checklist", DEFAULT)
    assert by_name.status == 0, by_name.err
    assert "from:" in by_name.out
    assert "[" in by_name.out.split("from:")[1]
    item = by_name.out.split("(")[1].split(",")[0]
    by_id = walkgrade("basis", item, "--checklist", DEFAULT)
    assert by_id.out in by_name.out
    odd = walkgrade("basis", "oil levle")
    assert odd.status == 2
    assert "[I03]" in odd.err
    assert "oil level" in odd.err.lower()


def test_a_transcript_is_converted(walkgrade, typed: Path, tmp_path: Path) -> None:
    done = walkgrade(
        "transcribe", typed, "--format", "srt", "--format", "json", "--out", tmp_path / "w"
    )
    assert done.status == 0, done.err
    assert (tmp_path / "w" / "typed.srt").read_text("utf-8").startswith("1\n00:00:02,000 -->")
    assert json.loads((tmp_path / "w" / "typed.json").read_text("utf-8"))["segments"]
    some = walkgrade("transcribe", typed, tmp_path / "gone.wav", "--out", tmp_path / "w")
    assert some.status == 1
    assert "[A01]" in some.err
