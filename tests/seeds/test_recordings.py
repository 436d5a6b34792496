"""The committed recordings: as long, as many and as spoken as the README says."""

import hashlib
import json
import re

import pytest
import soundfile

from seeds.make_recordings import FOLDER, RECORDINGS, main
from seeds.script import load_script
from seeds.speak import CONDITIONS
from seeds.split import load_split

LENGTHS_S = {"demo-full": (1200, 1800), "demo-poor": (300, 400), "demo-short": (120, 200)}
SCRIPTS = FOLDER.parent / "scripts"
README = (FOLDER.parent / "README.md").read_text(encoding="utf-8")


def side(script_id: str) -> dict:
    return json.loads((FOLDER / f"{script_id}.json").read_text(encoding="utf-8"))


def test_nothing_else_is_kept_and_all_of_it_is_small() -> None:
    kept = {path.name for path in FOLDER.iterdir()}
    assert kept == {f"{one}.{kind}" for one in RECORDINGS for kind in ("opus", "json")}
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < 10_000_000


@pytest.mark.parametrize("script_id", RECORDINGS)
def test_sound_is_whole(script_id: str) -> None:
    path = FOLDER / f"{script_id}.opus"
    written = side(script_id)
    assert written["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    info = soundfile.info(path)
    shortest, longest = LENGTHS_S[script_id]
    assert shortest <= info.duration <= longest
    assert info.duration == pytest.approx(written["duration_ms"] / 1000, abs=0.05)
    minutes, seconds = divmod(round(info.duration), 60)
    row = next(line for line in README.splitlines() if line.startswith(f"| `{script_id}`"))
    said = re.search(r"(\d+) min (\d+) s", row)
    assert said is not None
    assert abs(int(said[1]) * 60 + int(said[2]) - minutes * 60 - seconds) <= 1


@pytest.mark.parametrize("script_id", RECORDINGS)
def test_sound_is_of_the_script_as_it_stands(script_id: str) -> None:
    """A script edited after it was spoken must be spoken again."""
    script, written = load_script(SCRIPTS / f"{script_id}.yaml"), side(script_id)
    voice, condition = RECORDINGS[script_id]
    assert (written["voice"], written["condition"]) == (voice, condition)
    assert load_split().part_of_voice(voice) == script.part == "tune"
    assert [one["text"] for one in written["lines"]] == [line.text for line in script.lines]
    assert [one["who"] for one in written["lines"]] == [line.who for line in script.lines]
    wanted = CONDITIONS[condition][0]
    if written["snr_db"] is None:
        assert condition == "clean"
    else:
        assert written["snr_db"] == pytest.approx(wanted, abs=0.5)
    edges = [edge for one in written["lines"] for edge in (one["start"], one["end"])]
    assert edges == sorted(edges)
    assert edges[-1] < written["duration_ms"]


def test_full_run_is_a_full_run() -> None:
    script = load_script(SCRIPTS / "demo-full.yaml")
    assert 2200 <= script.word_count <= 2800
    assert {line.who for line in script.lines} == {"trainee", "examiner"}
    flags = {flag for line in script.lines for flag in line.flags}
    assert {"hedge", "blanket", "late"} <= flags
    assert any(not number.right for line in script.lines for number in line.numbers)


def test_unknown_name_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo-none"]) == 2
    assert "demo-full" in capsys.readouterr().err
