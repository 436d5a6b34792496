"""The recording loop with a microphone made of blocks."""

from __future__ import annotations

import errno
import os
import wave
from pathlib import Path

import pytest

from walkgrade.errors import AudioError
from walkgrade.practice import recording as recording_module
from walkgrade.practice.recorder import FIRST_WAITS, LATER_WAITS, Ending, Moment, record
from walkgrade.practice.recording import Recording

RATE = 16_000


class Run:
    """Records from a source and holds what came of it."""

    def __init__(self, folder: Path) -> None:
        self.place = folder / "run.wav"
        self.shown: list[Moment] = []

    def __call__(self, source, stop_after: int = 10**6, most_ms: int = 10**8) -> Ending:
        asked = iter(range(10**6))
        with Recording(self.place, source.rate) as recording:
            return record(
                source,
                recording,
                stop=lambda: next(asked) >= stop_after,
                show=self.shown.append,
                most_ms=most_ms,
            )

    def frames(self) -> bytes:
        with wave.open(str(self.place)) as file:
            return file.readframes(10**8)


@pytest.fixture
def run(tmp_path: Path) -> Run:
    return Run(tmp_path)


def test_every_block_is_kept_in_order(run: Run, source_of, tone) -> None:
    blocks = [tone(-10.0 - n) for n in range(20)]
    ending = run(source_of([*blocks[:7], None, *blocks[7:]]), stop_after=21)
    assert ending == Ending(elapsed_ms=2_000)
    assert run.frames() == b"".join(blocks)
    assert [moment.elapsed_ms for moment in run.shown] == list(range(100, 2_001, 100))
    assert run.shown[3].level.db == pytest.approx(-13.0, abs=0.1)


def test_what_had_arrived_before_the_stop_is_kept(run: Run, source_of, tone) -> None:
    ending = run(source_of([tone(-20)] * 9), stop_after=4)
    assert ending.elapsed_ms == 900


def test_a_slow_disk_is_told(run: Run, source_of, tone) -> None:
    run(source_of([tone(-20)] * 31), stop_after=1)
    assert run.shown[0].behind_s == pytest.approx(3.0)


def test_it_ends_by_itself_at_the_longest_time(run: Run, source_of, tone) -> None:
    blocks: list[object] = [one for _ in range(60) for one in (tone(-20), None)]
    ending = run(source_of(blocks), most_ms=3_000)
    assert ending.time_up
    assert ending.fault is None
    # Blocks that had already arrived are kept.
    assert 3_000 <= ending.elapsed_ms <= 6_000


@pytest.mark.parametrize(
    ("blocks", "elapsed", "text"),
    [
        ([None] * FIRST_WAITS, 0, "gives no sound at all"),
        ([*[b"\1\1" * 1_600] * 3, *[None] * LATER_WAITS], 300, "any more"),
    ],
)
def test_a_dead_microphone_is_noticed(
    run: Run, source_of, blocks: list[object], elapsed: int, text: str
) -> None:
    ending = run(source_of(blocks))
    assert ending.fault is not None
    assert ending.fault.code == "A44"
    assert text in ending.fault.message
    assert ending.elapsed_ms == elapsed
    assert len(run.frames()) == elapsed * 32


@pytest.mark.parametrize(
    "blocks",
    [[None] * (FIRST_WAITS - 1), [b"\1\1" * 1_600, *[None] * (LATER_WAITS - 1)]],
)
def test_a_pause_is_no_death(run: Run, source_of, blocks: list[object]) -> None:
    ending = run(source_of([*blocks, b"\1\1" * 1_600]), stop_after=len(blocks) + 1)
    assert ending.fault is None


def test_a_microphone_pulled_out_leaves_a_whole_file(run: Run, source_of, tone) -> None:
    gone = AudioError("A44", "The microphone went away.", "It is kept.")
    ending = run(source_of([tone(-20), tone(-20), gone]))
    assert ending.fault is gone
    assert len(run.frames()) == 2 * 3_200


def test_a_full_disk_leaves_a_whole_file(
    run: Run, source_of, tone, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, calls = os.fsync, iter(range(100))

    def full(handle: int) -> None:
        if next(calls) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(handle)

    monkeypatch.setattr(recording_module.os, "fsync", full)
    ending = run(source_of([tone(-20)] * 50))
    assert ending.fault is not None
    assert ending.fault.code == "O40"
    assert ending.elapsed_ms > 0
    assert len(run.frames()) == ending.elapsed_ms * 32
