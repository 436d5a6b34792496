"""A recording killed at any instant loses at most a second and can be graded."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from walkgrade.practice.recording import repair, unfinished
from walkgrade.speech.decode import blocks, check_sound
from walkgrade.speech.wav_header import announced_ms

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = Path(__file__).with_name("steady_recording.py")
RATE = 16_000
# Drawn once from a fixed seed: instants between 0.2 and 3 s, anywhere within a block.
INSTANTS = [round(random.Random(n).uniform(0.2, 3.0), 4) for n in range(8)]


def samples(path: Path) -> np.ndarray:
    return np.round(np.concatenate(list(blocks(path))) * 32_768).astype(int)


def recording_to(place: Path) -> subprocess.Popen[str]:
    """A process that records to `place` and says when its first sound arrived."""
    return subprocess.Popen(
        [sys.executable, SCRIPT, place],
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )


def killed_after(seconds: float, place: Path) -> float:
    """Record to `place`, kill after `seconds`; how long sound had been arriving by then."""
    job = recording_to(place)
    try:
        assert job.stdout is not None
        started = float(job.stdout.readline())
        time.sleep(max(0.0, started + seconds - time.monotonic()))
    finally:
        killed = time.monotonic()
        job.kill()
        job.wait()
        assert job.stdout is not None
        job.stdout.close()
    return killed - started


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL and a clock shared by processes")
@pytest.mark.parametrize("seconds", INSTANTS)
def test_at_most_a_second_is_lost(tmp_path: Path, seconds: float) -> None:
    place = tmp_path / "run.wav"
    arrived = killed_after(seconds, place)
    heard = samples(place)
    assert arrived - heard.size / RATE <= 1.0
    assert heard.size / RATE <= arrived
    expected = (np.arange(heard.size) % 60_000) - 30_000
    np.testing.assert_array_equal(heard, expected)


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL")
def test_what_a_kill_leaves_can_be_graded_and_mended(tmp_path: Path) -> None:
    place = tmp_path / "run.wav"
    killed_after(1.5, place)
    before = check_sound(place)
    assert "N03" not in [notice.code for notice in before.notices]
    assert announced_ms(place) is None
    assert list(unfinished(tmp_path)) == [place]
    untouched = shutil.copy(place, tmp_path / "copy.bin")

    left = repair(place)
    assert left.length_ms == before.duration
    assert announced_ms(place) == before.duration
    assert list(unfinished(tmp_path)) == []
    np.testing.assert_array_equal(samples(place), samples(untouched))


@pytest.mark.skipif(os.name != "posix", reason="needs file locks")
def test_a_recording_that_still_grows_is_left_alone(tmp_path: Path) -> None:
    place = tmp_path / "run.wav"
    job = recording_to(place)
    try:
        assert job.stdout is not None
        job.stdout.readline()
        assert list(unfinished(tmp_path)) == []
    finally:
        job.kill()
        job.wait()
        assert job.stdout is not None
        job.stdout.close()
    assert list(unfinished(tmp_path)) == [place]
