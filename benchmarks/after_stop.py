"""From the stop of a recording to the written report.

    nice -n 5 python -m benchmarks.after_stop [--minutes 30] [--pace 6] [--model trade]

Decides: nothing; it measures `walkgrade record` whole, with a source that plays a file in place of
the microphone.
Conventions: the recording is seeds/recordings/demo-full repeated to the wanted length. It is played
`--pace` times faster than real time, so the process that hears it has `--pace` times less time than
it would have; `cold` at the end is the same file graded without anything kept, by a fresh process.
Seconds are of the wall, on `--cores` cores. Chunks are stretches of about 30 s of speech.
Public: `main`.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import soundfile

from benchmarks.speed import DEMO, PROFILE, pin
from walkgrade.cli import ahead, record
from walkgrade.cli.given import terms
from walkgrade.cli.main import build_parser
from walkgrade.practice.beside import Beside

BLOCKS_A_SECOND = 10


class Player:
    """Plays samples `pace` times as fast as they were spoken, then stops the recording."""

    name, lost = "a played file", 0

    def __init__(self, samples: np.ndarray, rate: int, pace: float) -> None:
        self.rate, self._samples, self._pace = rate, samples, pace
        self._began, self._at = time.monotonic(), 0
        self.stopped = 0.0

    def take(self, wait_s: float) -> bytes | None:
        if self._at >= self._samples.size:
            if not self.stopped:
                self.stopped = time.monotonic()
                os.kill(os.getpid(), signal.SIGINT)  # as a person stops it
            return None
        late = self._began + self._at / self.rate / self._pace - time.monotonic()
        time.sleep(max(0.0, late))
        block = self._samples[self._at : self._at + self.rate // BLOCKS_A_SECOND]
        self._at += block.size
        return bytes(block.astype("<i2").tobytes())

    def waiting(self) -> int:
        return 0


def watched(found: dict[str, Any]) -> Callable[..., bool]:
    """`cli.ahead.finish`, noting when it was done and what the process beside said."""
    finish = ahead.finish

    def watching(hearing: Beside, place: Path) -> bool:
        kept = finish(hearing, place)
        found.update(at=time.monotonic(), **hearing.said)
        return kept

    return watching


def recorded(
    samples: np.ndarray, rate: int, pace: float, folder: Path, words: Sequence[str]
) -> tuple[float, float]:
    """Record and grade; when it was stopped and when the report was written (monotonic seconds)."""
    asked = build_parser().parse_args(
        ["record", "--name", "run", "--out", str(folder), *_common(folder / "cache"), *words]
    )
    wanted = terms(asked)
    ahead.load(wanted)
    player = Player(samples, rate, pace)
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        status = record.record_run(asked, player, wanted)
    written = time.monotonic()
    assert status == 0, f"exit code {status}"
    return player.stopped, written


def cold(folder: Path, model: str) -> float:
    """Seconds of `walkgrade grade` on the same file by a fresh process, nothing kept."""
    began = time.monotonic()
    subprocess.run(
        [
            sys.executable,
            "-m",
            "walkgrade",
            "grade",
            folder / "run.wav",
            "--model",
            model,
            "--out",
            folder / "cold",
            *_common(folder / "cold-cache"),
        ],
        check=True,
        capture_output=True,
    )
    return time.monotonic() - began


def _common(cache: Path) -> list[str]:
    return ["--profile", PROFILE, "--cache", str(cache)]


def main(words: Sequence[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.after_stop", description=__doc__)
    parser.add_argument("--minutes", type=float, default=30)
    parser.add_argument("--pace", type=float, default=6)
    parser.add_argument("--cores", type=int, default=2)
    parser.add_argument("--model", default="trade")
    parser.add_argument("--hear-after", action="store_true")
    args = parser.parse_args(words)
    pin(args.cores)
    samples, rate = soundfile.read(DEMO, dtype="int16")
    samples = np.resize(samples, round(args.minutes * 60 * rate))
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(
        f"{args.minutes:g} min at {args.pace:g} times, {args.cores} cores, load before {load:.1f}"
    )
    how = ["--model", args.model, *(["--hear-after"] if args.hear_after else [])]
    found: dict[str, Any] = {}
    ahead.finish = watched(found)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        stopped, written = recorded(samples, rate, args.pace, folder, how)
        print(f"stop to report: {written - stopped:.2f} s")
        if found:
            print(
                f"  {found['at'] - stopped:.2f} s until the last word was heard "
                f"({found['end']}); chunks in the last pass: {found['remembered']} remembered, "
                f"{found['decoded']} decoded"
            )
        taken = cold(folder, args.model)
        same = _plain(folder / "run.json") == _plain(folder / "cold" / "run.json")
        print(f"cold: {taken:.1f} s; same transcript and grade: {'yes' if same else 'NO'}")
    return 0 if same else 1


def _plain(path: Path) -> Any:
    """A grade document without who and when."""
    data = json.loads(path.read_text(encoding="utf-8"))
    del data["attempt"], data["provenance"]["graded_at"]
    return data


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
