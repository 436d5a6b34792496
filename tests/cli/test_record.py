"""`walkgrade record` with a microphone made of blocks: what is kept, said and graded."""

from __future__ import annotations

import json
import os
import signal
import wave
from pathlib import Path

import numpy as np
import pytest

from walkgrade.errors import AudioError
from walkgrade.practice.microphone import Device
from walkgrade.speech.decode import blocks
from walkgrade.speech.records import Segment, Transcript, Word

LOUD = b"\x10\x27" * 1_600
DEMO = Path(__file__).resolve().parents[2] / "seeds" / "recordings" / "demo-short.opus"
DEVICE = Device(number=3, name="Desk mic", channels=1, rate=16_000, usual=True)


class Blocks:
    """Stands for the microphone: gives blocks, then waits, or raises."""

    rate, lost, name = 16_000, 0, "Desk mic"
    script: list[object]

    def __init__(self, device: Device) -> None:
        assert device == DEVICE

    def __enter__(self) -> Blocks:
        return self

    def __exit__(self, *how: object) -> None:
        return None

    def take(self, wait_s: float) -> bytes | None:
        one = type(self).script.pop(0) if type(self).script else None
        if isinstance(one, BaseException):
            raise one
        if callable(one):
            one()
            return self.take(wait_s)
        assert one is None or isinstance(one, bytes)
        return one

    def waiting(self) -> int:
        return 0


@pytest.fixture
def microphone(monkeypatch: pytest.MonkeyPatch) -> type[Blocks]:
    monkeypatch.setattr("walkgrade.practice.microphone.devices", lambda: (DEVICE,))
    monkeypatch.setattr("walkgrade.practice.microphone.Microphone", Blocks)
    Blocks.script = [LOUD] * 40
    return Blocks


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The recogniser hears one sentence in whatever it is given."""
    seen: list[Path] = []

    def listen(path: Path, **options: object) -> tuple[Transcript, tuple[()]]:
        seen.append(path)
        words = ["Oil", "level,", "between", "add", "and", "full,", "no", "leaks."]
        segment = Segment(
            id="s1",
            start=0,
            end=2_300,
            words=tuple(
                Word(text=text, start=n * 300, end=n * 300 + 200, prob=0.9)
                for n, text in enumerate(words)
            ),
        )
        return Transcript(id="t", segments=(segment,), duration=4_000, origin="recognised"), ()

    monkeypatch.setattr("walkgrade.speech.listen.listen", listen)
    return seen


@pytest.fixture(autouse=True)
def told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """In place of the process that hears beside: one that notes what it is told, and says at the
    stop that it could use nothing."""
    note = tmp_path / "told"
    beside(monkeypatch, f"open({str(note)!r}, 'w').write(order + sys.stdin.readline())", "refused")
    return note


def beside(monkeypatch: pytest.MonkeyPatch, work: str, end: str) -> None:
    """Put a program in place of the process that hears beside."""
    text = f"import sys\norder = sys.stdin.readline()\n{work}\n"
    text += f"print({json.dumps({'end': end})!r})"
    monkeypatch.setattr("walkgrade.practice.beside.PROGRAM", ("-c", text))


def interrupt() -> None:
    os.kill(os.getpid(), signal.SIGINT)


def frames(path: Path) -> int:
    with wave.open(str(path)) as file:
        return file.getnframes()


def test_a_run_is_recorded_and_graded(walkgrade, microphone, heard, tmp_path: Path) -> None:
    microphone.script = [*[LOUD] * 40, interrupt]
    done = walkgrade(
        "record", "--out", tmp_path / "out", "--trainee", "T-07", "--group", "Monday",
        "--name", "first", "--write", "html,json",
    )  # fmt: skip
    assert done.status == 0, done.err
    recording = tmp_path / "out" / "first.wav"
    assert frames(recording) == 40 * 1_600
    assert heard == [recording]
    assert f"Recorded 0:04: {recording}" in done.err
    assert f"written: {tmp_path / 'out' / 'first.html'}" in done.out
    page = (tmp_path / "out" / "first.html").read_text("utf-8")
    assert 'src="./first.wav"' in page
    document = (tmp_path / "out" / "first.json").read_text("utf-8")
    for text in ('"trainee": "T-07"', '"group": "Monday"', '"taken_at": "20'):
        assert text in document
    assert "Caution" in done.err
    assert "rec 0:00 | 30:00 left" in done.err


def test_the_usual_folder_and_name(walkgrade, microphone, heard) -> None:
    done = walkgrade("record", "--max-minutes", "0.05", "--write", "none")
    assert done.status == 0, done.err
    (recording,) = Path("walkgrade-reports").iterdir()
    assert recording.name.startswith("run-20")
    assert "longest time" in done.err


def test_names_are_never_used_twice(walkgrade, microphone, tmp_path: Path) -> None:
    for _ in range(3):
        microphone.script = [LOUD, interrupt]
        assert walkgrade("record", "--no-grade", "--name", "a.wav", "--out", tmp_path).status == 0
    assert sorted(path.name for path in tmp_path.glob("*.wav")) == ["a-2.wav", "a-3.wav", "a.wav"]


def test_only_recording(walkgrade, microphone, heard, tmp_path: Path) -> None:
    microphone.script = [LOUD, interrupt]
    done = walkgrade("record", "--no-grade", "--out", tmp_path / "out")
    assert done.status == 0
    assert heard == []
    assert [path.suffix for path in (tmp_path / "out").iterdir()] == [".wav"]


def test_a_microphone_pulled_out_is_said_kept_and_graded(
    walkgrade, microphone, heard, tmp_path: Path
) -> None:
    gone = AudioError("A44", "The microphone Desk mic went away.", "Check its plug.")
    microphone.script = [*[LOUD] * 40, gone]
    done = walkgrade("record", "--out", tmp_path / "out", "--write", "json", "--name", "run")
    assert done.status == 1
    assert "[A44]" in done.err
    assert frames(tmp_path / "out" / "run.wav") == 40 * 1_600
    assert (tmp_path / "out" / "run.json").is_file()


def test_a_microphone_without_sound(walkgrade, microphone, heard, tmp_path: Path) -> None:
    microphone.script = []
    done = walkgrade("record", "--out", tmp_path / "out")
    assert done.status == 2
    assert "[A44]" in done.err
    assert heard == []


def test_a_fault_while_grading_names_the_recording(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def stopped(path: Path, **options: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("walkgrade.speech.listen.listen", stopped)
    microphone.script = [LOUD, interrupt]
    done = walkgrade("record", "--out", tmp_path, "--name", "run")
    assert done.status == 130
    assert f"Grade it with: walkgrade grade {tmp_path / 'run.wav'}" in done.err


def test_a_silent_microphone_is_told_while_recording(walkgrade, microphone, tmp_path: Path) -> None:
    microphone.script = [*[bytes(3_200)] * 70, interrupt]
    done = walkgrade("record", "--out", tmp_path, "--no-grade")
    assert done.err.count("NO SOUND") == 1


def test_sound_that_was_dropped_is_told(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(microphone, "lost", 3)
    microphone.script = [LOUD, interrupt]
    assert "[N41]" in walkgrade("record", "--out", tmp_path, "--no-grade").err


def test_little_room_on_the_disk_is_told(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    usage = type("Usage", (), {"free": 16_000 * 2 * 60 * 5})
    monkeypatch.setattr("shutil.disk_usage", lambda place: usage)
    microphone.script = [LOUD, interrupt]
    done = walkgrade("record", "--out", tmp_path, "--no-grade")
    assert "[N40] The disk has room for 5 minutes only." in done.err


def test_an_earlier_recording_that_was_cut_off_is_mended(
    walkgrade, microphone, tmp_path: Path
) -> None:
    from walkgrade.practice.recording import Recording

    cut = Recording(tmp_path / "cut.wav", 16_000)
    for _ in range(50):
        cut.add(LOUD)
    cut._file.close()
    microphone.script = [LOUD, interrupt]
    done = walkgrade("record", "--out", tmp_path, "--no-grade")
    assert "[N42] An earlier recording was cut off: cut.wav, 0:05 long." in done.err
    assert f"walkgrade grade {tmp_path / 'cut.wav'}" in done.err
    assert frames(tmp_path / "cut.wav") == 50 * 1_600


def test_devices_are_listed(walkgrade, microphone) -> None:
    done = walkgrade("record", "--devices")
    assert done.out == "  3  Desk mic  (usual)\n"
    assert not Path("walkgrade-reports").exists()


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--device-input", "lapel"], "A42"),
        (["--max-minutes", "181"], "I01"),
        (["--max-minutes", "0"], "I01"),
        (["--name", "../x"], "I01"),
        (["--name", ""], "I01"),
        (["--checklist", "gone"], "C03"),
        (["--write", "pdf"], "I01"),
    ],
)
def test_bad_words_are_refused_before_anything_is_recorded(
    walkgrade, microphone, words: list[str], code: str
) -> None:
    done = walkgrade("record", *words)
    assert done.status == 2
    assert f"[{code}]" in done.err
    assert len(microphone.script) == 40
    assert not Path("walkgrade-reports").exists()


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
def test_enter_ends_a_recording(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import pty

    ours, theirs = pty.openpty()
    microphone.script = [LOUD] * 3 + [lambda: os.write(ours, b"\n"), *[LOUD] * 5_000]
    with os.fdopen(theirs) as keyboard:
        monkeypatch.setattr("sys.stdin", keyboard)
        done = walkgrade("record", "--out", tmp_path, "--no-grade", "--name", "run")
    os.close(ours)
    assert done.status == 0
    assert 3 * 1_600 <= frames(tmp_path / "run.wav") < 3_000 * 1_600


def test_the_interrupt_works_as_before_afterwards(walkgrade, microphone, tmp_path: Path) -> None:
    before = signal.getsignal(signal.SIGINT)
    microphone.script = [LOUD, interrupt]
    walkgrade("record", "--out", tmp_path, "--no-grade")
    assert signal.getsignal(signal.SIGINT) is before


def test_it_is_heard_while_it_is_recorded(
    walkgrade, microphone, heard, told: Path, tmp_path: Path
) -> None:
    from walkgrade.checklists.library import find_checklist
    from walkgrade.language.expected import expected_words

    microphone.script = [*[LOUD] * 40, interrupt]
    done = walkgrade(
        "record", "--out", tmp_path / "out", "--name", "run", "--model", "base", "--checklist",
        "school-bus-air-classic", "--cache", tmp_path / "other", "--write", "json",
    )  # fmt: skip
    assert done.status == 0, done.err
    order, stop = told.read_text("utf-8").splitlines()
    assert stop == "stop"
    assert json.loads(order) == {
        "path": str(tmp_path / "out" / "run.wav"),
        "bytes_a_second": 32_000,
        "model": "base",
        "device": "cpu",
        "cache_dir": str(tmp_path / "other"),
        "terms": list(expected_words(find_checklist("school-bus-air-classic"))),
    }
    assert "N43" not in done.err


@pytest.mark.parametrize("word", ["--no-grade", "--hear-after"])
def test_nothing_hears_beside_when_that_is_not_wanted(
    walkgrade, microphone, heard, told: Path, tmp_path: Path, word: str
) -> None:
    microphone.script = [*[LOUD] * 40, interrupt]
    done = walkgrade("record", "--out", tmp_path / "out", "--write", "json", word)
    assert done.status == 0, done.err
    assert not told.exists()
    assert len(heard) == (word == "--hear-after")


def test_when_hearing_beside_fails_the_run_is_graded_all_the_same(
    walkgrade, microphone, heard, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    beside(monkeypatch, "raise SystemExit(1)", "kept")
    microphone.script = [*[LOUD] * 40, interrupt]
    done = walkgrade("record", "--out", tmp_path / "out", "--name", "run", "--write", "json")
    assert done.status == 0, done.err
    assert "[N43] Hearing while recording did not work (it ended too early)" in done.err
    assert heard == [tmp_path / "out" / "run.wav"]
    assert (tmp_path / "out" / "run.json").is_file()


@pytest.mark.parametrize(("end", "fresh"), [("kept", False), ("refused", True)])
def test_what_was_just_heard_is_not_heard_afresh(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, end: str, fresh: bool
) -> None:
    asked: list[object] = []

    def listen(path: Path, **options: object) -> None:
        asked.append(options["fresh"])
        raise AudioError("A10", "no speech was found.")

    monkeypatch.setattr("walkgrade.speech.listen.listen", listen)
    beside(monkeypatch, "sys.stdin.readline()", end)
    microphone.script = [*[LOUD] * 40, interrupt]
    walkgrade("record", "--out", tmp_path, "--fresh")
    assert asked == [fresh]


def test_an_interrupt_while_the_rest_is_heard_names_the_recording(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from walkgrade.practice.beside import Beside

    def interrupted(self: Beside, progress: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(Beside, "finish", interrupted)
    microphone.script = [LOUD, interrupt]
    done = walkgrade("record", "--out", tmp_path, "--name", "run")
    assert done.status == 130
    assert f"Grade it with: walkgrade grade {tmp_path / 'run.wav'}" in done.err


@pytest.mark.audio
def test_the_words_heard_while_recording_are_those_that_are_graded(
    walkgrade, microphone, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The real process and engine; the engine of this process must not be needed."""
    from walkgrade.practice import beside as beside_module
    from walkgrade.speech.models import installed_models

    if not installed_models():
        if os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"):
            pytest.fail("the speech models are not installed")
        pytest.skip("the speech models are not installed: make setup")
    monkeypatch.setattr(beside_module, "PROGRAM", ("-P", "-m", "walkgrade.speech.ahead"))
    monkeypatch.setattr("walkgrade.speech.listen.WhisperEngine", None)
    sound = np.concatenate(list(blocks(DEMO)))[: 40 * 16_000]
    samples = np.round(sound * 32_767).astype("<i2").tobytes()
    parts = [samples[at : at + 3_200] for at in range(0, len(samples), 3_200)]
    microphone.script = [*parts, interrupt]
    done = walkgrade("record", "--out", tmp_path / "out", "--name", "run", "--write", "json")
    assert done.status == 0, done.err
    assert "N43" not in done.err
    document = json.loads((tmp_path / "out" / "run.json").read_text("utf-8"))
    assert document["provenance"]["transcript"]["model"] == "trade"
    kept = (tmp_path / "cache").rglob("*-*.json")
    assert [path.name[:64] for path in kept] == [
        document["provenance"]["transcript"]["audio_sha256"]
    ]
