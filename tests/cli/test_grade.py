"""`walkgrade grade` on typed runs: what it shows, writes, refuses and survives."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import wave
from collections.abc import Callable
from pathlib import Path

import pytest

from walkgrade.errors import AudioError
from walkgrade.reports.document import parse_document


def tone(path: Path, seconds: float, level: int = 0) -> Path:
    """A wave file of silence or of a buzz."""
    frames = int(16_000 * seconds)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        sample = [level if number % 80 < 40 else -level for number in range(frames)]
        file.writeframes(b"".join(value.to_bytes(2, "little", signed=True) for value in sample))
    return path


def test_a_typed_run_is_shown_and_written(walkgrade, typed: Path, tmp_path: Path) -> None:
    done = walkgrade("grade", typed, "--out", tmp_path / "out", "--trainee", "T-07")
    assert done.status == 0, done.err
    assert "assumed; choose with --profile" in done.err
    for ending in ("html", "json"):
        assert f"written: {tmp_path / 'out' / f'typed.{ending}'}" in done.out
    document = parse_document((tmp_path / "out" / "typed.json").read_text("utf-8"))
    assert document["attempt"]["trainee"] == "T-07"
    assert document["provenance"]["transcript"]["origin"] == "typed"
    assert document["totals"]["complete"] >= 1
    page = (tmp_path / "out" / "typed.html").read_text("utf-8")
    assert "T-07" in page


def test_default_output_is_a_folder_here(walkgrade, typed: Path) -> None:
    assert walkgrade("grade", typed).status == 0
    assert Path("walkgrade-reports/typed.html").is_file()
    assert sorted(path.name for path in Path("walkgrade-reports").iterdir()) == [
        "typed.html",
        "typed.json",
    ]


def test_json_prints_one_document_a_line_and_writes_nothing(
    walkgrade, typed: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other.txt"
    other.write_text("Oil level, between add and full.\n", encoding="utf-8")
    done = walkgrade("grade", typed, other, "--json")
    lines = done.out.splitlines()
    assert done.status == 0
    assert len(lines) == 2
    assert {parse_document(line)["format"] for line in lines} == {"walkgrade-grade"}
    assert not Path("walkgrade-reports").exists()


def test_the_same_words_give_the_same_document(walkgrade, typed: Path) -> None:
    first, second = (json.loads(walkgrade("grade", typed, "--json").out) for _ in range(2))
    for document in (first, second):
        document["provenance"].pop("graded_at")
    assert first == second


def test_target_and_budget_of_the_school_are_used(walkgrade, typed: Path) -> None:
    done = walkgrade("grade", typed, "--json", "--target", "63", "--budget", "7.5")
    document = json.loads(done.out)
    assert document["target"]["percent"] == 63
    assert document["pace"]["budget_ms"] == 450_000


@pytest.mark.parametrize("kinds", ["csv", "srt,words", "html,json,csv,srt,words"])
def test_every_kind_of_file_can_be_written(walkgrade, typed: Path, kinds: str) -> None:
    done = walkgrade("grade", typed, "--write", kinds)
    assert done.status == 0, done.err
    assert len(list(Path("walkgrade-reports").iterdir())) == len(kinds.split(","))


def test_written_words_can_be_graded_again(walkgrade, typed: Path) -> None:
    walkgrade("grade", typed, "--write", "words,json")
    again = walkgrade("grade", "walkgrade-reports/typed.words.json", "--json")
    first = json.loads(Path("walkgrade-reports/typed.json").read_text("utf-8"))
    assert json.loads(again.out)["totals"] == first["totals"]


def test_spaces_and_letters_beyond_ascii_in_names(walkgrade, tmp_path: Path) -> None:
    path = tmp_path / "Año nuevo – großer Bus" / "läuft 1.txt"
    path.parent.mkdir()
    path.write_text("Oil level, between add and full.\n", encoding="utf-8")
    done = walkgrade("grade", path, "--out", tmp_path / "Übung 1", "--trainee", "Łukasz")
    assert done.status == 0, done.err
    assert (tmp_path / "Übung 1" / "läuft 1.html").is_file()
    assert "Łukasz" in (tmp_path / "Übung 1" / "läuft 1.html").read_text("utf-8")


def _missing(folder: Path) -> Path:
    return folder / "gone.wav"


def _empty_sound(folder: Path) -> Path:
    (folder / "empty.wav").touch()
    return folder / "empty.wav"


def _empty_text(folder: Path) -> Path:
    (folder / "empty.txt").touch()
    return folder / "empty.txt"


def _renamed(folder: Path) -> Path:
    (folder / "renamed.wav").write_text("Oil level, between add and full.\n" * 40, "utf-8")
    return folder / "renamed.wav"


def _silent(folder: Path) -> Path:
    return tone(folder / "silent.wav", 2.0)


def _overlapping(folder: Path) -> Path:
    path = folder / "overlap.srt"
    path.write_text(
        "1\n00:00:01,000 --> 00:00:05,000\nOil level.\n\n"
        "2\n00:00:03,000 --> 00:00:06,000\nNo leaks.\n",
        "utf-8",
    )
    return path


def _backwards(folder: Path) -> Path:
    (folder / "back.txt").write_text("[00:30] Oil level.\n[00:10] No leaks.\n", "utf-8")
    return folder / "back.txt"


def _no_folder(folder: Path) -> Path:
    (folder / "nothing").mkdir()
    return folder / "nothing"


def _binary(folder: Path) -> Path:
    (folder / "binary.txt").write_bytes(bytes(range(128, 256)) * 4)
    return folder / "binary.txt"


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (_missing, "A01"),
        (_empty_sound, "A02"),
        (_empty_text, "I21"),
        (_renamed, "A03"),
        (_silent, "A05"),
        (_overlapping, "I24"),
        (_backwards, "I24"),
        (_no_folder, "I04"),
        (_binary, "I26"),
    ],
)
def test_bad_runs_are_refused_with_their_code(
    walkgrade, tmp_path: Path, make: Callable[[Path], Path], code: str
) -> None:
    done = walkgrade("grade", make(tmp_path))
    assert done.status == 2
    assert f"[{code}]" in done.err
    assert "Traceback" not in done.err
    assert "written:" not in done.out


@pytest.mark.parametrize(
    ("words", "code", "hint"),
    [
        (["--checklist", "school-bus-air-clasic"], "C03", "school-bus-air-classic"),
        (["--profile", "yard-bus-ari"], "C03", "yard-bus-air"),
        (["--checklist", "gone.yaml"], "C01", "gone.yaml"),
        (["--target", "101"], "I01", "0 to 100"),
        (["--budget", "0"], "I01", "minutes"),
        (["--budget", "nan"], "I01", "minutes"),
        (["--write", "pdf"], "I01", "html"),
        (["--taken-at", "yesterday"], "I05", "2026-03-06"),
        (["--traine", "x"], "I01", "--trainee"),
        (["--device", "tpu"], "I01", "cpu"),
    ],
)
def test_bad_words_are_refused_with_a_hint(
    walkgrade, typed: Path, words: list[str], code: str, hint: str
) -> None:
    done = walkgrade("grade", typed, *words)
    assert done.status == 2
    assert f"[{code}]" in done.err
    assert hint in done.err
    assert not Path("walkgrade-reports").exists()


def test_a_broken_checklist_names_file_and_line(walkgrade, typed: Path, tmp_path: Path) -> None:
    broken = tmp_path / "ours.yaml"
    broken.write_text("format: 1\nid: ours\nsections: [\n", encoding="utf-8")
    done = walkgrade("grade", typed, "--checklist", broken)
    assert done.status == 2
    assert "[C01]" in done.err
    assert "ours.yaml" in done.err


def test_a_vehicle_that_contradicts_the_checklist(walkgrade, typed: Path, tmp_path: Path) -> None:
    odd = tmp_path / "odd.yaml"
    odd.write_text("format: 1\nid: odd\ntitle: Odd\nfitted: {wings: [two]}\n", encoding="utf-8")
    done = walkgrade("grade", typed, "--profile", odd)
    assert done.status == 2
    assert "[C04]" in done.err
    odd.write_text("format: 1\nid: odd\ntitle: Odd\nfitted: {wings: two}\n", encoding="utf-8")
    done = walkgrade("grade", typed, "--profile", odd)
    assert done.status == 2
    assert "[C05]" in done.err
    assert "wings" in done.err


def test_one_broken_file_never_stops_the_others(walkgrade, typed: Path, tmp_path: Path) -> None:
    folder = tmp_path / "friday"
    folder.mkdir()
    _renamed(folder)
    _silent(folder)
    for name in ("b.txt", "z.txt"):
        (folder / name).write_text(typed.read_text("utf-8"), encoding="utf-8")
    done = walkgrade("grade", folder, "--out", tmp_path / "out")
    assert done.status == 1
    assert "[A03]" in done.err
    assert "[A05]" in done.err
    assert done.out.count("could not be graded") == 2
    assert sorted(path.name for path in (tmp_path / "out").glob("*.html")) == ["b.html", "z.html"]


def test_a_folder_takes_sound_before_its_own_transcript(walkgrade, tmp_path: Path) -> None:
    folder = tmp_path / "friday"
    folder.mkdir()
    tone(folder / "a.wav", 2.0)
    (folder / "a.txt").write_text("Oil level.\n", encoding="utf-8")
    done = walkgrade("grade", folder)
    assert "[A05]" in done.err


def test_equal_names_do_not_overwrite_each_other(walkgrade, typed: Path, tmp_path: Path) -> None:
    paths = []
    for day in ("monday", "friday"):
        (tmp_path / day).mkdir()
        paths.append(tmp_path / day / "run.txt")
        paths[-1].write_text(typed.read_text("utf-8"), encoding="utf-8")
    walkgrade("grade", *paths, "--write", "json")
    written = sorted(path.name for path in Path("walkgrade-reports").iterdir())
    assert written == ["friday-run.json", "monday-run.json"]


def test_an_output_folder_that_is_a_file(walkgrade, typed: Path, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("in the way", encoding="utf-8")
    done = walkgrade("grade", typed, "--out", tmp_path / "out")
    assert done.status == 3
    assert "[O01]" in done.err
    assert "--out" in done.err
    assert (tmp_path / "out").read_text("utf-8") == "in the way"


def test_a_disk_that_fills_up_still_shows_the_result(
    walkgrade, typed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(number: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    done = walkgrade("grade", typed, "--out", tmp_path / "out")
    assert done.status == 3
    assert "[O02]" in done.err
    assert "complete" in done.out
    assert list((tmp_path / "out").iterdir()) == []


def test_a_really_full_disk_leaves_the_old_report_whole(
    walkgrade, typed: Path, tmp_path: Path
) -> None:
    place = tmp_path / "small"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(place)]
    if os.name != "posix" or subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("a small disk can be mounted by root only")
    try:
        (place / "typed.json").write_text("the old report", encoding="utf-8")
        done = walkgrade("grade", typed, "--out", place)
        assert done.status == 3
        assert "[O02]" in done.err
        assert "complete" in done.out
        assert (place / "typed.json").read_text("utf-8") == "the old report"
        assert [path.name for path in place.iterdir()] == ["typed.json"]
    finally:
        subprocess.run(["umount", str(place)], check=True)


def test_ctrl_c_says_what_is_kept(
    walkgrade, typed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(path: Path, **options: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("walkgrade.speech.listen.listen", stopped)
    second = tone(tmp_path / "z.wav", 1.0, 900)
    done = walkgrade("grade", typed, second, "--out", tmp_path / "out")
    assert done.status == 130
    assert "1 of 2 runs are done" in done.err
    assert "same command" in done.err
    assert (tmp_path / "out" / "typed.html").is_file()


def test_a_fault_of_the_program_leaves_a_crash_file_and_no_traceback(
    walkgrade, typed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*given: object, **options: object) -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr("walkgrade.language.read.read", broken)
    done = walkgrade("grade", typed)
    assert done.status == 70
    assert "[X01]" in done.err
    assert "Traceback" not in done.err
    (crash,) = (tmp_path / "state" / "walkgrade").iterdir()
    assert "ZeroDivisionError: planted" in crash.read_text("utf-8")


def test_options_reach_the_recogniser(
    walkgrade, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: dict[str, object] = {}

    def heard(path: Path, **options: object) -> None:
        seen.update(options)
        raise AudioError("A10", "no speech was found.")

    monkeypatch.setattr("walkgrade.speech.listen.listen", heard)
    sound = tone(tmp_path / "a.wav", 1.0, 900)
    walkgrade("grade", sound, "--model", "base", "--device", "auto", "--fresh")
    assert seen["model"] == "base"
    assert seen["device"] == "auto"
    assert seen["fresh"] is True
    assert seen["allow_hub"] is False
    assert "pitman arm" in " ".join(seen["terms"])
