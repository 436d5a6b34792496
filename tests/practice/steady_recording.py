"""A recording that goes on until it is killed; run as a script by test_kill.py.

The sound is a ramp in real time, a block of 100 ms at a time, so that every sample tells its own
place. Prints, on one line, the moment (monotonic clock) that its first sample belongs to.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from walkgrade.practice.recorder import record
from walkgrade.practice.recording import Recording

RATE = 16_000
BLOCK = 1_600


def ramp(start: int, count: int) -> np.ndarray:
    """Samples `start` to `start + count` of the endless ramp."""
    return ((np.arange(start, start + count) % 60_000) - 30_000).astype("<i2")


class Steady:
    """A source that gives each block when a real microphone would have it."""

    name, rate, lost = "ramp", RATE, 0

    def __init__(self) -> None:
        self.started = time.monotonic()
        self.given = 0

    def take(self, wait_s: float) -> bytes | None:
        due = self.started + (self.given + BLOCK) / RATE
        delay = due - time.monotonic()
        if delay > 0:
            time.sleep(min(delay, wait_s))
            if delay > wait_s:
                return None
        block = ramp(self.given, BLOCK)
        self.given += BLOCK
        return block.tobytes()

    def waiting(self) -> int:
        return 0


def main(place: Path) -> None:
    with Recording(place, RATE) as recording:
        source = Steady()
        print(source.started, flush=True)
        record(source, recording, stop=lambda: False, show=lambda moment: None, most_ms=600_000)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
