"""The whole way from a microphone: PortAudio, ALSA and PulseAudio, with a sink that plays nowhere.

What is played into the sink comes out of its monitor, which the program opens as a microphone. The
sound server is the test's own, in folders of its own, and ends with the test.
"""

from __future__ import annotations

import ctypes.util
import difflib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import numpy as np
import pytest
import soundfile

from walkgrade.practice.recording import repair, unfinished
from walkgrade.speech.decode import RATE, blocks
from walkgrade.speech.models import installed_models

ROOT = Path(__file__).resolve().parents[2]
REQUIRE_ALL = bool(os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"))
SEED = ROOT / "seeds" / "recordings" / "demo-short.opus"
SECONDS = 10
ALSA = "pcm.!default { type pulse }\nctl.!default { type pulse }\n"


def lacking() -> str:
    """What this machine lacks for the test; empty when all is there."""
    if sys.platform != "linux":
        return "PulseAudio's null sink is tried on Linux only"
    missing = [tool for tool in ("pulseaudio", "pactl", "paplay") if not shutil.which(tool)]
    if not ctypes.util.find_library("portaudio"):
        missing.append("libportaudio2")
    plugins = [*Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so")]
    plugins += [*Path("/usr/lib").glob("alsa-lib/libasound_module_pcm_pulse.so")]
    if not plugins:
        missing.append("libasound2-plugins")
    return f"missing: {', '.join(missing)}" if missing else ""


@dataclass
class Yard:
    """A private sound server with a sink called yard."""

    server: subprocess.Popen[bytes]
    environment: dict[str, str]

    def record(self, *words: str | Path) -> subprocess.Popen[str]:
        """Start `walkgrade record`; returns once it has heard its first block."""
        job = subprocess.Popen(
            [sys.executable, "-m", "walkgrade", "record", *words],
            env=self.environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert job.stderr is not None
        seen = until(job.stderr, "rec 0:00")
        assert job.poll() is None, seen
        return job

    def play(self, path: Path) -> None:
        subprocess.run(["paplay", "-d", "yard", path], env=self.environment, check=True, timeout=60)


def until(stream: IO[str], words: str) -> str:
    """Read lines up to the one that begins with `words`."""
    seen = ""
    for line in stream:
        seen += line
        if line.startswith(words):
            break
    return seen


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    """Start the sound server and wait for it; always end it."""
    if reason := lacking():
        if REQUIRE_ALL:
            pytest.fail(reason)
        pytest.skip(reason)
    # The path of a socket may have about 100 signs, fewer than the test's own folder may use.
    runtime = Path(tempfile.mkdtemp(prefix="wg-"))
    home = tmp_path / "home"
    home.mkdir()
    (home / ".asoundrc").write_text(ALSA, encoding="utf-8")
    environment = os.environ | {
        "HOME": str(home),
        "XDG_RUNTIME_DIR": str(runtime),
        "XDG_CONFIG_HOME": str(home / "config"),
        "PULSE_SERVER": f"unix:{runtime / 'pulse' / 'native'}",
        "PYTHONPATH": str(ROOT),
        "WALKGRADE_CACHE": str(tmp_path / "cache"),
    }
    environment.pop("DBUS_SESSION_BUS_ADDRESS", None)
    with open(tmp_path / "pulseaudio.log", "wb") as log:
        server = subprocess.Popen(
            ["pulseaudio", "-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1",
             "-L", "module-native-protocol-unix", "-L", "module-null-sink sink_name=yard"],
            env={key: value for key, value in environment.items() if key != "PULSE_SERVER"},
            stdout=log,
            stderr=log,
        )  # fmt: skip
    try:
        choose = ["pactl", "set-default-source", "yard.monitor"]
        for _ in range(50):
            if not subprocess.run(
                choose, env=environment, check=False, capture_output=True
            ).returncode:
                break
            time.sleep(0.2)
        else:
            pytest.fail((tmp_path / "pulseaudio.log").read_text("utf-8", "replace"))
        yield Yard(server, environment)
    finally:
        server.kill()
        server.wait()
        shutil.rmtree(runtime, ignore_errors=True)


def interrupt(job: subprocess.Popen[str]) -> tuple[str, str]:
    job.send_signal(signal.SIGINT)
    return job.communicate(timeout=300)


def sound(path: Path) -> np.ndarray:
    return np.concatenate(list(blocks(path))).astype(np.float64)


@pytest.fixture
def spoken(tmp_path: Path) -> Path:
    """Ten seconds of an invented run as a sound file."""
    if not SEED.is_file():
        pytest.fail(f"{SEED.name} is missing")
    place = tmp_path / "spoken.wav"
    soundfile.write(place, sound(SEED)[: SECONDS * RATE], RATE, subtype="PCM_16")
    return place


def likeness(heard: np.ndarray, played: np.ndarray) -> float:
    """The greatest correlation (-1..1) of `played` with any stretch of `heard`."""
    size = 1 << (heard.size + played.size).bit_length()
    product = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(played, size)), size)
    at = int(np.argmax(product[: heard.size - played.size + 1]))
    part = heard[at : at + played.size]
    return float(np.corrcoef(part, played)[0, 1])


def words_of(path: Path) -> list[str]:
    data = json.loads(path.read_text("utf-8"))
    return [
        word["text"].lower().strip(".,?!")
        for segment in data["segments"]
        for word in segment["words"]
    ]


@pytest.mark.audio
def test_what_is_said_at_the_microphone_is_recorded_recognised_and_graded(
    yard: Yard, spoken: Path, tmp_path: Path
) -> None:
    if not installed_models():
        if REQUIRE_ALL:
            pytest.fail("the speech models are not installed")
        pytest.skip("the speech models are not installed: make setup")
    out = tmp_path / "out"
    job = yard.record("--out", out, "--name", "run", "--write", "html,json,words")
    yard.play(spoken)
    time.sleep(0.7)
    shown, said = interrupt(job)
    assert job.returncode == 0, said

    heard, played = sound(out / "run.wav"), sound(spoken)
    assert heard.size >= played.size
    assert likeness(heard, played) > 0.9
    # The same measure on sound that was never played: the test can fail.
    assert likeness(heard, sound(SEED)[-SECONDS * RATE :]) < 0.5

    assert f"written: {out / 'run.html'}" in shown
    document = json.loads((out / "run.json").read_text("utf-8"))
    assert document["attempt"]["audio"] == "run.wav"
    subprocess.run(
        [sys.executable, "-m", "walkgrade", "transcribe", spoken, "--out", tmp_path / "again"],
        env=yard.environment,
        check=True,
        capture_output=True,
    )
    expected = words_of(tmp_path / "again" / "spoken.json")
    same = difflib.SequenceMatcher(None, words_of(out / "run.words.json"), expected).ratio()
    assert len(expected) >= 15
    assert same >= 0.8


@pytest.mark.parametrize("seconds", [1.35, 3.7])
def test_a_kill_in_mid_run_loses_at_most_a_second(
    yard: Yard, tmp_path: Path, seconds: float
) -> None:
    job = yard.record("--out", tmp_path, "--name", "run")
    began = time.monotonic()
    time.sleep(seconds)
    lasted = time.monotonic() - began
    job.kill()
    job.communicate()
    assert list(unfinished(tmp_path)) == [tmp_path / "run.wav"]
    assert repair(tmp_path / "run.wav").length_ms / 1000 >= lasted - 1.0


def test_a_microphone_that_goes_away_leaves_what_was_said(yard: Yard, tmp_path: Path) -> None:
    job = yard.record("--out", tmp_path, "--name", "run", "--no-grade")
    time.sleep(1.5)
    yard.server.kill()
    _, said = job.communicate(timeout=60)
    assert job.returncode == 1, said
    assert "[A44]" in said
    assert "Traceback" not in said
    assert soundfile.info(tmp_path / "run.wav").duration >= 0.5
    assert list(unfinished(tmp_path)) == []


def test_no_sound_server_is_a_fault_with_a_code(yard: Yard, tmp_path: Path) -> None:
    yard.server.kill()
    yard.server.wait()
    done = subprocess.run(
        [sys.executable, "-m", "walkgrade", "record", "--out", tmp_path / "out"],
        env=yard.environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 2
    assert "[A41]" in done.stderr or "[A43]" in done.stderr
    assert "Traceback" not in done.stderr
