"""Time and memory of a whole run of 30 minutes: file to findings, beside the stock recogniser call.

    nice -n 5 python -m benchmarks.speed [--minutes 30] [--cores 2]

Decides: nothing; it measures. Each row runs in a process of its own with `--cores` cores, one
after the other on the same machine, so that what else the machine does falls on all of them.
Conventions: the recording is seeds/recordings/demo-full repeated to the wanted length. `cold`: no
kept recognition, file, weights and language data loaded within the time. `again`: the same file,
graded from the kept recognition. `stock`: faster-whisper's sequential call with the same weights
(beam 5, its voice filter, word times), text only, nothing graded (`benchmarks.speech_speed`).
CPU seconds are of all threads; memory is the peak resident size.
Public: `main`, `pin`.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from benchmarks.speech_speed import hear

DEMO = Path(__file__).parent.parent / "seeds" / "recordings" / "demo-full.opus"
RATE = 16_000
CHECKLIST, PROFILE = "school-bus-air-classic", "yard-bus-air"


@dataclass(frozen=True)
class Taken:
    """One row; `after` is what came after recognition, in seconds (0 when nothing did)."""

    wall_s: float
    after_s: float
    after_cpu_s: float
    cpu_s: float
    memory_mb: int


def long_recording(minutes: float, folder: Path) -> Path:
    """The demo run over and over up to `minutes`."""
    samples, rate = soundfile.read(DEMO, dtype="float32")
    wanted = round(minutes * 60 * rate)
    path = folder / "long.opus"
    with soundfile.SoundFile(path, "w", rate, 1, format="OGG", subtype="OPUS") as out:
        for start in range(0, wanted, len(samples)):
            # In pieces: the encoder keeps a whole block on the stack.
            for piece in np.array_split(samples[: wanted - start], 200):
                out.write(piece)
    return path


def graded(sound: Path, cache: Path, fresh: bool) -> Taken:
    """The project's way from file to findings and grade."""
    began = time.perf_counter()
    from walkgrade.checklists.library import find_checklist, find_profile
    from walkgrade.language.expected import expected_words
    from walkgrade.ready import Ready
    from walkgrade.reports.document import Attempt
    from walkgrade.speech.listen import listen
    from walkgrade.workflow import Terms, grade_transcript

    checklist = find_checklist(CHECKLIST)
    terms = Terms(checklist=checklist, profile=find_profile(PROFILE))
    ready = Ready(terms)
    transcript, _ = listen(
        sound, cache_dir=cache, fresh=fresh, terms=expected_words(checklist), so_far=ready.heard
    )
    heard = time.perf_counter(), time.process_time()
    ready.join()
    grade_transcript(transcript, terms, attempt=Attempt(id="bench", trainee="T-00")).document()
    return _taken(began, heard)


def stock(sound: Path, _cache: Path, _fresh: bool) -> Taken:
    """The stock sequential call."""
    began = time.perf_counter()
    hear("stock sequential", "base", sound)
    return _taken(began, (time.perf_counter(), time.process_time()))


def _taken(began: float, heard: tuple[float, float]) -> Taken:
    now, used = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF)
    scale = 1024 if sys.platform != "darwin" else 1024 * 1024
    return Taken(
        wall_s=now - began,
        after_s=now - heard[0],
        after_cpu_s=time.process_time() - heard[1],
        cpu_s=used.ru_utime + used.ru_stime,
        memory_mb=used.ru_maxrss // scale,
    )


def pin(cores: int) -> None:
    """Leave this process, and those it starts, so many cores, where that can be done."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, set(sorted(os.sched_getaffinity(0))[:cores]))


def main(words: Sequence[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.speed", description=__doc__)
    parser.add_argument("--minutes", type=float, default=30)
    parser.add_argument("--cores", type=int, default=2)
    args = parser.parse_args(words)
    context = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        sound = long_recording(args.minutes, folder)
        load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
        print(f"{args.minutes:g} min, {args.cores} cores, load before {load:.1f}")
        print(
            f"{'way':22} {'wall s':>7} {'x':>6} {'after s':>8} {'(cpu)':>6} {'cpu s':>7} {'MB':>6}"
        )
        for label, way, fresh in (
            ("walkgrade, cold", graded, True),
            ("walkgrade, again", graded, False),
            ("stock sequential", stock, True),
        ):
            with context.Pool(1, pin, (args.cores,)) as pool:
                row = pool.apply(way, (sound, folder / "cache", fresh))
            print(
                f"{label:22} {row.wall_s:7.1f} {args.minutes * 60 / row.wall_s:6.1f} "
                f"{row.after_s:8.2f} {row.after_cpu_s:6.2f} {row.cpu_s:7.1f} {row.memory_mb:6}",
                flush=True,
            )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
