"""How long the last word takes, whenever a recording is stopped.

    python -m benchmarks.stop_moments [--minutes 6] [--every 20] [--model trade]

Decides: nothing; it hears a growing recording as `walkgrade.speech.ahead` does, and at every moment
asked for also as it would be heard if it were stopped there.
Conventions: the clock is made: sound arrives at its own speed, a pass takes the seconds that it
really took. `last pass` is what is left to do when nothing is under way at the stop; `under way` is
what a stop must wait for on top of it, the rest of work that had begun. Seconds of the wall, on
`--cores` cores, of recognition alone (grading adds half a second). The recording is
seeds/recordings/demo-full repeated.
Public: `main`.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import soundfile

from benchmarks.speed import CHECKLIST, DEMO, PROFILE, pin
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.errors import WalkgradeError
from walkgrade.language.expected import expected_words
from walkgrade.practice.recording import Recording
from walkgrade.speech.ahead import NICE, STEP_S
from walkgrade.speech.listen import listen
from walkgrade.speech.memory import Memory


@dataclass(slots=True)
class Growing:
    """A recording that grows by a made clock, and what heard it."""

    samples: np.ndarray
    rate: int
    folder: Path
    model: str
    terms: tuple[str, ...]
    memory: Memory = field(default_factory=Memory)
    began: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.memory.before = lambda: self.began.append(time.monotonic())

    def hear(self, path: Path, *, growing: bool) -> float:
        """Seconds of one pass."""
        start = time.monotonic()
        too_early = contextlib.suppress(WalkgradeError) if growing else contextlib.nullcontext()
        with too_early:  # a growing recording may hold no words yet
            listen(path, model=self.model, cache_dir=self.folder / "cache", terms=self.terms,
                   memory=self.memory, growing=growing)  # fmt: skip
        return time.monotonic() - start

    def work(self, at: float, recording: Recording, written: int) -> tuple[int, list[float]]:
        """Hear what there is at `at`; samples written, and the seconds of each piece of work."""
        upto = round(at * self.rate)
        recording.add(self.samples[written:upto].astype("<i2").tobytes())
        self.began.clear()
        start = time.monotonic()
        self.hear(self.folder / "growing.wav", growing=True)
        marks = [start, *self.began, time.monotonic()]
        return upto, list(np.diff(marks))

    def stopped(self, at: float) -> float:
        """Seconds of the pass over a recording that was stopped at `at`."""
        path = self.folder / "stopped.wav"
        soundfile.write(path, self.samples[: round(at * self.rate)], self.rate)
        return self.hear(path, growing=False)


def followed(
    growing: Growing, seconds: float, stops: Sequence[float], tell: Callable[[str], None]
) -> None:
    """Let it grow; tell of every stop and, at the end, of the work that a stop may fall into."""
    clock, written, left, works = float(STEP_S), 0, list(stops), []
    passes: list[float] = []
    with Recording(growing.folder / "growing.wav", growing.rate) as recording:
        while clock < seconds:
            written, pieces = growing.work(clock, recording, written)
            works += pieces
            clock = max(clock + STEP_S, clock + sum(pieces))
            while left and left[0] < clock:
                passes.append(growing.stopped(left[0]))
                tell(f"stopped at {left.pop(0):.0f} s: last pass {passes[-1]:.2f} s")
    wait = sum(piece**2 for piece in works) / 2 / clock  # mean rest, over all moments
    tell(f"last pass: median {np.median(passes):.2f} s, longest {max(passes):.2f} s")
    tell(
        f"under way: {sum(works) / clock:.0%} of the time; a stop waits {wait:.2f} s for it on the "
        f"average, {max(works):.2f} s at most"
    )


def main(words: Sequence[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.stop_moments", description=__doc__)
    parser.add_argument("--minutes", type=float, default=6)
    parser.add_argument("--every", type=float, default=20, help="seconds between stops")
    parser.add_argument("--cores", type=int, default=2)
    parser.add_argument("--model", default="trade")
    args = parser.parse_args(words)
    pin(args.cores)
    if hasattr(os, "nice"):
        os.nice(NICE)
    samples, rate = soundfile.read(DEMO, dtype="int16")
    seconds = args.minutes * 60
    checklist = applicable(find_checklist(CHECKLIST), find_profile(PROFILE))
    stops = np.arange(60, seconds - STEP_S, args.every) + 3  # in the middle between passes
    with tempfile.TemporaryDirectory() as name:
        growing = Growing(
            np.resize(samples, round((seconds + 60) * rate)), rate, Path(name), args.model,
            tuple(expected_words(checklist)),
        )  # fmt: skip
        followed(growing, seconds, list(stops), print)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
