"""The recogniser engine: voice activity, batched decoding and word times.

Decides: how faster-whisper is called; nothing else of the project imports it.
Conventions: sound is float32 at 16 kHz; a `Piece` is what was heard in one chunk of at most 30 s,
with word times in seconds from the start of that chunk.
Public: `Engine` (what a recogniser needs), `Piece`, `HeardWord`, `WhisperEngine`, `EngineOptions`.

Notes on the engine as of faster-whisper 1.2: the batched pipeline takes one temperature only (no
second try when a chunk fails), ignores its thresholds, and by itself removes pauses and restores
times. Here the pauses are removed by `timeline.pack`, so that one pass of voice activity serves
both cutting and packing, and times are restored by `timeline.PackedTime`.
"""

from __future__ import annotations

import itertools
import os
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from walkgrade.errors import ModelError
from walkgrade.speech.models import ModelFolder
from walkgrade.speech.timeline import RATE, Region

Samples = NDArray[np.float32]
GRAIN = RATE // 100


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardWord:
    """A word as the engine writes it (a leading space starts a new word); times in seconds."""

    text: str
    start: float
    end: float
    prob: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What was heard in one chunk.

    `logprob`: mean log probability of its tokens (0 is certain); `no_speech`: probability that
    nobody spoke; `compression`: bytes of text divided by its zlib size (loops are above 2.4).
    """

    words: tuple[HeardWord, ...]
    logprob: float
    no_speech: float
    compression: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EngineOptions:
    """Decoding settings; `label` of the engine spells them out for the cache."""

    beam: int = 2
    voice_threshold: float = 0.5
    pause_ms: int = 160
    pad_ms: int = 200
    chunk_s: int = 30


class Engine(Protocol):
    """What a recogniser needs from an engine; tests put a fake one in its place."""

    @property
    def label(self) -> str:
        """Everything that can change the result, as one line."""

    @property
    def multilingual(self) -> bool:
        """True when the model knows languages other than English."""

    def speech(self, sound: Samples) -> tuple[Region, ...]:
        """Regions in which someone speaks."""

    def decode(
        self, chunks: Sequence[Samples], terms: Sequence[str] = (), *, careful: bool = False
    ) -> tuple[Piece, ...]:
        """What was heard in each chunk; `careful` forbids repeated phrases (for a second try)."""

    def language(self, chunk: Samples) -> tuple[str, float]:
        """The most probable language code of a chunk and its probability."""


class WhisperEngine:
    """faster-whisper on this machine.

    Raises
    ------
    ModelError M07 : the weights do not load. M08 : `device` is not here.
    """

    def __init__(
        self,
        model: ModelFolder,
        *,
        device: str = "cpu",
        options: EngineOptions | None = None,
    ) -> None:
        self.options = options or EngineOptions()
        self.device = choose_device(device)
        self._whisper = _load(model, self.device)
        self._english = model.english
        self.label = engine_label(self.device, self.options)

    @property
    def multilingual(self) -> bool:
        """True when the model knows languages other than English."""
        return bool(self._whisper.model.is_multilingual) and not self._english

    def speech(self, sound: Samples) -> tuple[Region, ...]:
        """Regions in which someone speaks, by the Silero detector that faster-whisper ships."""
        from faster_whisper.vad import VadOptions, get_speech_timestamps

        found = get_speech_timestamps(
            sound,
            VadOptions(
                threshold=self.options.voice_threshold,
                max_speech_duration_s=self.options.chunk_s,
                min_silence_duration_ms=self.options.pause_ms,
                speech_pad_ms=self.options.pad_ms,
            ),
        )
        return tuple(Region(int(f["start"]), int(f["end"])) for f in found if f["end"] > f["start"])

    def decode(
        self, chunks: Sequence[Samples], terms: Sequence[str] = (), *, careful: bool = False
    ) -> tuple[Piece, ...]:
        """What was heard in each chunk, in order."""
        from faster_whisper import BatchedInferencePipeline

        if not chunks:
            return ()
        even = [_pad(chunk) for chunk in chunks]
        bounds = [0, *itertools.accumulate(chunk.size for chunk in even)]
        # Half a sample more, so that the engine's own rounding down finds the same sample again.
        clips = [
            {"start": (a + 0.5) / RATE, "end": (b + 0.5) / RATE}
            for a, b in itertools.pairwise(bounds)
        ]
        found, _ = BatchedInferencePipeline(self._whisper).transcribe(
            np.concatenate(even),
            language="en",
            clip_timestamps=clips,
            beam_size=self.options.beam,
            batch_size=len(chunks),
            temperature=0.0,
            word_timestamps=True,
            condition_on_previous_text=False,
            hotwords=" ".join(terms) or None,
            no_repeat_ngram_size=4 if careful else 0,
            repetition_penalty=1.1 if careful else 1.0,
        )
        return _by_chunk(list(found), [bound / RATE for bound in bounds[:-1]])

    def language(self, chunk: Samples) -> tuple[str, float]:
        """The most probable language code of a chunk and its probability."""
        code, prob, _ = self._whisper.detect_language(audio=chunk)
        return str(code), float(prob)


def choose_device(device: str) -> str:
    """``cpu`` or ``cuda``; ``auto`` takes a CUDA device when there is one.

    Raises
    ------
    ModelError M08 : CUDA asked for but not present, or an unknown word.
    """
    if device not in ("cpu", "cuda", "auto"):
        raise ModelError("M08", f"unknown device {device!r}.", "Use cpu, cuda or auto.")
    if device == "cpu":
        return device
    import ctranslate2

    if ctranslate2.get_cuda_device_count() > 0:
        return "cuda"
    if device == "auto":
        return "cpu"
    raise ModelError("M08", "there is no CUDA device on this machine.", "Use cpu or auto.")


def available_cores() -> int:
    """Cores this process may use, at least 1."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def engine_label(device: str, options: EngineOptions) -> str:
    """Everything that can change the result, as one line, without loading the engine."""
    return (
        f"faster-whisper {version('faster-whisper')}, ctranslate2 {version('ctranslate2')}, "
        f"{device}, {_compute_type(device)}, beam {options.beam}, "
        f"voice {options.voice_threshold:g}/{options.pause_ms}/{options.pad_ms}, "
        f"chunk {options.chunk_s}"
    )


def _compute_type(device: str) -> str:
    return "int8" if device == "cpu" else "float16"


def _load(model: ModelFolder, device: str) -> Any:
    from faster_whisper import WhisperModel

    try:
        return WhisperModel(
            str(model.folder),
            device=device,
            compute_type=_compute_type(device),
            cpu_threads=available_cores(),
            local_files_only=True,
        )
    except Exception as error:  # the engine raises bare RuntimeError and others for bad weights
        raise ModelError(
            "M07",
            f"model {model.name!r} in {model.folder} does not load: {error}",
            "Check that it is a CTranslate2 Whisper model, or use a named model.",
        ) from error


def _pad(chunk: Samples) -> Samples:
    """Fill up to whole hundredths of a second, the grain of the engine's chunk starts."""
    missing = -chunk.size % GRAIN
    return np.pad(chunk, (0, missing)) if missing else chunk


def _by_chunk(segments: list[Any], starts: Sequence[float]) -> tuple[Piece, ...]:
    """Sort the engine's segments to the chunk each came from.

    Each carries its chunk's start as `seek`, in whole hundredths of a second rounded down.
    """
    index_of = {int(start * 100): index for index, start in enumerate(starts)}
    pieces = [Piece(words=(), logprob=0.0, no_speech=1.0, compression=0.0)] * len(starts)
    for segment in segments:
        index = index_of[segment.seek]
        offset = segment.seek / 100
        words = tuple(
            HeardWord(
                text=word.word,
                start=max(0.0, float(word.start) - offset),
                end=max(0.0, float(word.end) - offset),
                prob=float(word.probability),
            )
            for word in segment.words or ()
        )
        pieces[index] = Piece(
            words=pieces[index].words + words,
            logprob=float(segment.avg_logprob),
            no_speech=float(segment.no_speech_prob),
            compression=float(segment.compression_ratio),
        )
    return tuple(pieces)
