"""Speed, memory and word error of recognition: the project's way beside the stock calls.

    nice -n 5 python -m benchmarks.speech_speed [--minutes 30] [--sound FILE] [--models base]

Decides: nothing; it measures. Every row runs in a process of its own, one after the other.
Conventions: without `--sound` the five LibriVox clips of tests/data/librivox are repeated, with
2 s of faint noise between them, up to `--minutes`; word error is then against their published
transcription. With a recording of `seeds` (a .json with the lines beside it) it is against the
script, plainly normalised, so "four" against "4" counts as an error in every row alike.
CPU seconds are user plus system time of the process over all its threads, loading included; they
depend less on what else the machine does than wall time. Memory is the peak resident size.
Public: `main`.
"""

from __future__ import annotations

import argparse
import csv
import json
import multiprocessing
import re
import resource
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import jiwer
import numpy as np
import soundfile

from walkgrade.speech.decode import check_sound
from walkgrade.speech.engine import WhisperEngine, available_cores
from walkgrade.speech.models import resolve_model
from walkgrade.speech.recognise import WindowedRecogniser

CLIPS = Path(__file__).parent.parent / "tests" / "data" / "librivox"
RATE = 16_000
WAYS = ("walkgrade", "stock batched", "stock sequential")


@dataclass(frozen=True)
class Row:
    """One measurement."""

    model: str
    way: str
    wall_s: float
    cpu_s: float
    memory_mb: int
    errors: int
    words: int


def plain(text: str) -> list[str]:
    """Lower-case words without punctuation."""
    text = text.lower().replace("mr.", "mister").replace("-", " ")
    return re.sub(r"[^a-z0-9/' ]", " ", text).split()


def repeated_clips(minutes: float, folder: Path) -> tuple[Path, list[str]]:
    """A file of the clips one after the other, and its words."""
    with open(CLIPS / "words.tsv", encoding="utf-8") as file:
        rows = list(csv.DictReader(file, delimiter="\t"))
    noise = np.random.default_rng(0)
    words: list[str] = []
    path = folder / "clips.flac"
    clips = sorted(CLIPS.glob("*.flac"))
    with soundfile.SoundFile(path, "w", RATE, 1) as out:
        number = 0
        while out.frames < minutes * 60 * RATE:
            clip = clips[number % len(clips)]
            out.write(soundfile.read(clip, dtype="float32")[0])
            out.write(noise.normal(0, 1e-3, 2 * RATE).astype(np.float32))
            words += [row["word"] for row in rows if row["clip"] == clip.name]
            number += 1
    return path, words


def script_words(sound: Path) -> list[str]:
    """The words of a recording made by `seeds`."""
    lines = json.loads(sound.with_suffix(".json").read_text(encoding="utf-8"))["lines"]
    return [word for line in lines for word in plain(line["text"])]


def hear(way: str, model: str, sound: Path) -> str:
    """Recognise `sound` one way; the text."""
    folder = resolve_model(model)
    if way == "walkgrade":
        recogniser = WindowedRecogniser(engine=WhisperEngine(folder), model=folder)
        transcript, _ = recogniser.recognise(check_sound(sound))
        return " ".join(segment.text for segment in transcript.segments)
    from faster_whisper import BatchedInferencePipeline, WhisperModel

    whisper = WhisperModel(str(folder.folder), compute_type="int8", cpu_threads=available_cores())
    options = {"language": "en", "word_timestamps": True, "vad_filter": True}
    if way == "stock batched":
        segments, _ = BatchedInferencePipeline(whisper).transcribe(
            str(sound), batch_size=8, **options
        )
    else:
        segments, _ = whisper.transcribe(str(sound), **options)
    return " ".join(segment.text for segment in segments)


def measure(way: str, model: str, sound: Path, words: list[str]) -> Row:
    """One row; call it in a fresh process."""
    began = time.perf_counter()
    text = hear(way, model, sound)
    wall = time.perf_counter() - began
    used = resource.getrusage(resource.RUSAGE_SELF)
    result = jiwer.process_words(" ".join(words), " ".join(plain(text)))
    return Row(
        model=model,
        way=way,
        wall_s=wall,
        cpu_s=used.ru_utime + used.ru_stime,
        # Linux counts in kilobytes, macOS in bytes.
        memory_mb=used.ru_maxrss // (1024 if sys.platform != "darwin" else 1024 * 1024),
        errors=result.substitutions + result.deletions + result.insertions,
        words=len(words),
    )


def main(argv: list[str] | None = None) -> None:
    """Measure every way with every model and print a table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--minutes", type=float, default=30)
    parser.add_argument("--sound", type=Path)
    parser.add_argument("--models", nargs="+", default=["tiny.en", "base"])
    parser.add_argument("--ways", nargs="+", default=list(WAYS), choices=WAYS)
    asked = parser.parse_args(argv)
    fresh = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as folder:
        if asked.sound:
            sound, words = asked.sound, script_words(asked.sound)
        else:
            sound, words = repeated_clips(asked.minutes, Path(folder))
        length = check_sound(sound).duration / 1000
        print(f"{sound.name}: {length / 60:.1f} min, {len(words)} words, {available_cores()} cores")
        print(f"{'model':8} {'way':17} {'wall s':>7} {'x':>6} {'cpu s':>7} {'MB':>5} {'WER %':>6}")
        for model in asked.models:
            for way in asked.ways:
                with fresh.Pool(1) as pool:
                    row = pool.apply(measure, (way, model, sound, words))
                print(
                    f"{row.model:8} {row.way:17} {row.wall_s:7.1f} {length / row.wall_s:6.1f} "
                    f"{row.cpu_s:7.1f} {row.memory_mb:5} {100 * row.errors / row.words:6.1f}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
