"""Hears a corpus with the project's own recogniser, many files at once, one core each.

    python -m benchmarks.hear --corpus DIR --out DIR [--conditions clean,snr10]
        [--models trade,/folder/of/base] [--workers 16] [--deadline 560] [--bundle FILE.tar.gz]

Decides: the order of the work (every file of the first condition, then of the next; long files
first), and that whatever is there already is not heard again, so a run can be cut and gone on with.
Conventions: one JSON file for each script, voice, condition and model, with the transcript in the
project's own form. A recording that is refused gives a file with `error` and no transcript. Models
are names of the manifest or folders; a folder counts under its own name. With ``stock:``
before it the same weights are heard by faster-whisper's own sequential call (beam 5, its voice
filter) for comparison; such results count under ``stock-`` and the model's name.
Public: `Job`, `jobs_for`, `heard_name`, `main`.
"""

from __future__ import annotations

import argparse
import functools
import json
import multiprocessing
import os
import sys
import tarfile
import tempfile
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from queue import Empty
from typing import TYPE_CHECKING, Any

from benchmarks.agreement import SCRIPTS, fitted
from benchmarks.conditions import in_condition_file, known_conditions
from seeds.script import Script, load_script
from walkgrade.errors import WalkgradeError

if TYPE_CHECKING:
    from walkgrade.speech.decode import Sound
    from walkgrade.speech.records import Transcript

SEPARATOR = "--"
STOCK = "stock:"


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One file to hear in one condition with one model; `seconds` estimates its length."""

    script: str
    voice: str
    condition: str
    model: str
    path: Path
    seconds: float


def model_label(model: str) -> str:
    """The name a model counts under."""
    return ("stock-" if model.startswith(STOCK) else "") + Path(model.removeprefix(STOCK)).name


def heard_name(job: Job) -> str:
    """Name of the result's file; the last part is the sum in the sound's own name."""
    model = model_label(job.model)
    key = job.path.stem.rsplit(SEPARATOR, 1)[1]
    return SEPARATOR.join((job.script, job.voice, job.condition, model, key)) + ".json"


def jobs_for(
    corpus: Path, conditions: Sequence[str], models: Sequence[str], voices: Sequence[str] = ()
) -> list[Job]:
    """All jobs, in the order they should be done."""
    jobs = []
    for path in corpus.rglob(f"*{SEPARATOR}*{SEPARATOR}*.opus"):
        script, voice, _ = path.stem.split(SEPARATOR)
        if voices and voice not in voices:
            continue
        for model in models:
            for condition in known_conditions(conditions):
                jobs.append(
                    Job(
                        script=script, voice=voice, condition=condition, model=model, path=path,
                        seconds=path.stat().st_size / 2000,
                    )
                )  # fmt: skip
    place = {name: at for at, name in enumerate(conditions)}
    rank = {name: at for at, name in enumerate(models)}
    return sorted(
        jobs, key=lambda j: (rank[j.model], place[j.condition], -j.seconds, j.script, j.voice)
    )


def hear(job: Job, scratch: Path) -> dict[str, Any]:
    """Hear one job; the content of its result file."""
    from walkgrade.language.expected import expected_words
    from walkgrade.speech.decode import check_sound
    from walkgrade.speech.transcript_json import as_data

    made: dict[str, Any] = {
        "script": job.script,
        "voice": job.voice,
        "condition": job.condition,
        "model": model_label(job.model),
    }
    place = in_condition_file(job.path, job.script, job.condition, scratch)
    start = time.perf_counter()
    try:
        sound = check_sound(place)
        if job.model.startswith(STOCK):
            transcript, notices = _hear_stock(job.model.removeprefix(STOCK), sound), ()
        else:
            terms = expected_words(fitted(_script(job.script)))
            transcript, notices = _recogniser(job.model).recognise(sound, terms=terms)
    except WalkgradeError as error:
        return made | {"error": {"code": error.code, "message": error.message}}
    finally:
        if place != job.path:
            place.unlink()
    return made | {
        "seconds": round(time.perf_counter() - start, 2),
        "audio_seconds": sound.duration / 1000,
        "notices": [asdict(notice) for notice in notices],
        "transcript": as_data(transcript),
    }


def _script(name: str) -> Script:
    return load_script(SCRIPTS / f"{name}.yaml")


@functools.lru_cache(maxsize=2)
def _recogniser(model: str) -> Any:
    from walkgrade.speech.engine import WhisperEngine
    from walkgrade.speech.models import resolve_model
    from walkgrade.speech.recognise import WindowedRecogniser

    weights = resolve_model(model)
    return WindowedRecogniser(engine=WhisperEngine(weights), model=weights)


@functools.lru_cache(maxsize=1)
def _stock(model: str) -> Any:
    from faster_whisper import WhisperModel

    from walkgrade.speech.engine import available_cores
    from walkgrade.speech.models import resolve_model

    folder = str(resolve_model(model).folder)
    return WhisperModel(folder, compute_type="int8", cpu_threads=available_cores())


def _hear_stock(model: str, sound: Sound) -> Transcript:
    """What the stock sequential call hears, in the project's records."""
    from walkgrade.speech.records import Transcript, Word
    from walkgrade.speech.segments import in_order, segments_of

    found, _ = _stock(model).transcribe(
        str(sound.path), language="en", word_timestamps=True, vad_filter=True
    )
    words = [
        Word(
            text=word.word.strip(),
            start=round(word.start * 1000),
            end=max(round(word.start * 1000), round(word.end * 1000)),
            prob=round(min(1.0, word.probability), 4),
        )
        for segment in found
        for word in segment.words or ()
        if word.word.strip()
    ]
    return Transcript(
        id=f"stock-{sound.sha256[:12]}",
        segments=segments_of(in_order(words, sound.duration)),
        duration=sound.duration,
        origin="recognised",
        audio_sha256=sound.sha256,
        settings="faster-whisper sequential, beam 5, vad_filter",
    )


def _work(core: int, queue: Any, out: Path, stop: float) -> None:
    """Take jobs until none are left or no time is; runs in a process of its own."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {core})  # the engine then takes one thread
    speed = 0.0
    with tempfile.TemporaryDirectory() as scratch:
        while True:
            try:
                job: Job = queue.get(timeout=1)
            except Empty:
                return
            start = time.time()
            if start + job.seconds * speed > stop:
                continue  # a shorter one may still fit
            text = json.dumps(hear(job, Path(scratch)))
            place = out / heard_name(job)
            place.with_suffix(".part").write_text(text, encoding="utf-8")
            place.with_suffix(".part").replace(place)
            speed = max(speed, 1.2 * (time.time() - start) / max(job.seconds, 1))
            print(f"{time.time() - start:6.1f} s  {place.name}", flush=True)


def run(jobs: Sequence[Job], out: Path, workers: int, stop: float) -> None:
    """Hear `jobs` with `workers` processes until `stop` (seconds since the epoch)."""
    out.mkdir(parents=True, exist_ok=True)
    os.environ |= {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}  # for the workers
    context = multiprocessing.get_context("spawn")
    queue = context.Queue()
    for job in jobs:
        queue.put(job)
    cores = sorted(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else [0]
    hands = [
        context.Process(target=_work, args=(cores[at % len(cores)], queue, out, stop))
        for at in range(min(workers, len(jobs)))
    ]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join(max(0.0, stop + 15 - time.time()))
    for hand in hands:
        if hand.is_alive():
            hand.terminate()


def bundle(out: Path, target: Path) -> None:
    """All results in one compressed archive."""
    with tarfile.open(target, "w:gz") as archive:
        for path in sorted(out.glob("*.json")):
            archive.add(path, arcname=path.name)


def main(words: Sequence[str]) -> int:
    """Hear a corpus; the exit status is 3 when something is left to hear."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.hear", description=__doc__)
    parser.add_argument("--corpus", type=Path, required=True, action="append")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--conditions", default="clean,snr10,phone,snr20,snr5")
    parser.add_argument("--models", default="trade")
    parser.add_argument("--voices", default="")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--deadline", type=float, default=86_400, help="seconds from now")
    parser.add_argument("--bundle", type=Path)
    args = parser.parse_args(words)
    stop = time.time() + args.deadline
    voices = tuple(filter(None, args.voices.split(",")))
    wanted = [
        job
        for corpus in args.corpus
        for job in jobs_for(corpus, args.conditions.split(","), args.models.split(","), voices)
    ]
    todo = [job for job in wanted if not (args.out / heard_name(job)).exists()]
    print(f"{len(wanted)} wanted, {len(wanted) - len(todo)} there", flush=True)
    run(todo, args.out, args.workers, stop)
    left = sum(not (args.out / heard_name(job)).exists() for job in wanted)
    if args.bundle:
        bundle(args.out, args.bundle)
    print(f"{left} left to hear")
    return 3 if left else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
