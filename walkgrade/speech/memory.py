"""Engines that remember, so that a growing recording is heard over and over at the cost of once.

Decides: when an answer given before may stand for a new one: same samples, same question.
Conventions: an answer about voices or a language belongs to one stretch of sound, words belong to
a whole batch of chunks, because the engine's word times and probabilities depend a little on the
chunks decoded beside (docs/decisions/0008). Samples are known by their sha256; the sound itself is
not kept.
Public: `Memory`, `RememberingEngine`, `Load`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Hashable, Sequence
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from walkgrade.speech.engine import Engine, EngineOptions, Piece, WhisperEngine
from walkgrade.speech.models import ModelFolder
from walkgrade.speech.timeline import Region

Samples = NDArray[np.float32]
_Answer = TypeVar("_Answer")


class Load(Protocol):
    """Makes an engine from weights, as `WhisperEngine` does."""

    def __call__(
        self, model: ModelFolder, *, device: str = "cpu", options: EngineOptions | None = None
    ) -> Engine:
        """The engine, loaded."""


class Memory:
    """Engines loaded once each, and what they have answered.

    Parameters
    ----------
    load : makes an engine.
    before : called before every piece of new work; what it raises ends that work.
    """

    def __init__(
        self, load: Load = WhisperEngine, before: Callable[[], None] = lambda: None
    ) -> None:
        self._load = load
        self.before = before
        self._engines: dict[tuple[str, str], RememberingEngine] = {}

    def engine(
        self, model: ModelFolder, *, device: str = "cpu", options: EngineOptions | None = None
    ) -> Engine:
        """The one engine of these weights; a `Load`."""
        known = (model.sha256, device)
        if known not in self._engines:
            self.before()
            engine = self._load(model, device=device, options=options)
            self._engines[known] = RememberingEngine(engine, lambda: self.before())
        return self._engines[known]

    def counts(self) -> tuple[int, int]:
        """Chunks decoded, and chunks whose words were known already, since `forget_counts`."""
        engines = self._engines.values()
        return sum(one.decoded for one in engines), sum(one.remembered for one in engines)

    def forget_counts(self) -> None:
        """Count from here on."""
        for engine in self._engines.values():
            engine.decoded = engine.remembered = 0


class RememberingEngine:
    """An engine that never does the same work twice; implements `engine.Engine`.

    `decoded` and `remembered` count chunks.
    """

    def __init__(self, engine: Engine, before: Callable[[], None] = lambda: None) -> None:
        self._engine = engine
        self._before = before
        self._voices: dict[Hashable, tuple[Region, ...]] = {}
        self._words: dict[Hashable, tuple[Piece, ...]] = {}
        self._languages: dict[Hashable, tuple[str, float]] = {}
        self.decoded = 0
        self.remembered = 0

    @property
    def label(self) -> str:
        """That of the engine: remembering changes no result."""
        return self._engine.label

    @property
    def multilingual(self) -> bool:
        """True when the model knows languages other than English."""
        return self._engine.multilingual

    def speech(self, sound: Samples) -> tuple[Region, ...]:
        """Regions in which someone speaks."""
        return self._ask(self._voices, _digest(sound), lambda: self._engine.speech(sound))

    def decode(
        self, chunks: Sequence[Samples], terms: Sequence[str] = (), *, careful: bool = False
    ) -> tuple[Piece, ...]:
        """What was heard in each chunk."""
        question = (tuple(_digest(chunk) for chunk in chunks), tuple(terms), careful)
        if question in self._words:
            self.remembered += len(chunks)
        return self._ask(
            self._words, question, lambda: self._decode(chunks, terms, careful=careful)
        )

    def language(self, chunk: Samples) -> tuple[str, float]:
        """The most probable language code of a chunk and its probability."""
        return self._ask(self._languages, _digest(chunk), lambda: self._engine.language(chunk))

    def _decode(
        self, chunks: Sequence[Samples], terms: Sequence[str], *, careful: bool
    ) -> tuple[Piece, ...]:
        pieces = self._engine.decode(chunks, terms, careful=careful)
        self.decoded += len(chunks)
        return pieces

    def _ask(
        self, known: dict[Hashable, _Answer], question: Hashable, work: Callable[[], _Answer]
    ) -> _Answer:
        if question not in known:
            self._before()
            known[question] = work()
        return known[question]


def _digest(samples: Samples) -> bytes:
    return hashlib.sha256(np.ascontiguousarray(samples).data).digest()
