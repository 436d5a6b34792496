"""The recording loop: from a source of sound to the file, block by block.

Decides: when a recording ends, and that whatever ends it, what arrived is kept.
Conventions: sound comes in blocks of 16-bit mono samples of about a tenth of a second. Time is
counted in samples and in waits, so nothing here reads a clock.
Public: `Source`, `Moment`, `Ending`, `record`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from walkgrade.errors import AudioError, WalkgradeError
from walkgrade.practice.levels import Level, Meter
from walkgrade.practice.recording import BYTES_A_SAMPLE, Recording

WAIT_S = 0.1
FIRST_WAITS = 100
"""A sound server may take seconds to wake up; after ten the microphone counts as dead."""

LATER_WAITS = 30
"""Three seconds without any sound in mid-run: the microphone is gone."""


class Source(Protocol):
    """Where sound comes from."""

    name: str
    rate: int
    lost: int
    """How many times sound was dropped before it reached us."""

    def take(self, wait_s: float) -> bytes | None:
        """The next block; None when none came within `wait_s`.

        Raises
        ------
        AudioError A44 : the source has ended by itself.
        """

    def waiting(self) -> int:
        """Blocks that have arrived and were not taken yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What the person is shown: time, level, seconds of sound that wait for a slow disk."""

    elapsed_ms: int
    level: Level
    behind_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """How a recording ended. `fault`: what cut it short; `time_up`: the longest time was reached;
    `lost`: how many times sound was dropped."""

    elapsed_ms: int
    lost: int = 0
    time_up: bool = False
    fault: WalkgradeError | None = None


def record(
    source: Source,
    recording: Recording,
    *,
    stop: Callable[[], bool],
    show: Callable[[Moment], None],
    most_ms: int,
) -> Ending:
    """Record until `stop` says so, `most_ms` is reached, or something breaks.

    Parameters
    ----------
    source : must be running; it is left running.
    recording : open; it is left open.
    stop : asked after every block and every wait.
    show : told of every block.
    most_ms : the longest recording.

    Returns
    -------
    How it ended; a fault of microphone or disk is in it, not raised, because the sound up to then
    is there to be used.
    """
    meter = Meter(recording.rate)
    waits, time_up = 0, False
    try:
        while not stop() and not time_up:
            block = source.take(WAIT_S)
            if block is None:
                waits += 1
                _check_alive(source, waits, started=recording.samples > 0)
                continue
            waits = 0
            recording.add(block)
            time_up = recording.elapsed_ms >= most_ms
            behind = source.waiting() * len(block) / BYTES_A_SAMPLE / recording.rate
            show(Moment(elapsed_ms=recording.elapsed_ms, level=meter.add(block), behind_s=behind))
        _take_rest(source, recording)
    except WalkgradeError as fault:
        return Ending(elapsed_ms=recording.elapsed_ms, lost=source.lost, fault=fault)
    return Ending(elapsed_ms=recording.elapsed_ms, lost=source.lost, time_up=time_up)


def _take_rest(source: Source, recording: Recording) -> None:
    """Keep what had arrived before the stop."""
    for _ in range(source.waiting()):
        block = source.take(0)
        if block is None:
            return
        recording.add(block)


def _check_alive(source: Source, waits: int, *, started: bool) -> None:
    if waits < (LATER_WAITS if started else FIRST_WAITS):
        return
    if started:
        raise AudioError(
            "A44",
            f"No sound comes from {source.name} any more.",
            "What was recorded until then is kept. Check plug and battery, then record again.",
        )
    raise AudioError(
        "A44",
        f"{source.name} gives no sound at all.",
        "Choose another microphone: walkgrade record --devices",
    )
