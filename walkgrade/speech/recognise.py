"""A sound file to a transcript.

Decides: in what order a recording is heard, what is kept of each stretch, and when a recording is
refused (nobody speaks, another language).
Conventions: the recording is heard in windows of about five minutes cut in a pause, so memory does
not grow with its length and an interrupted run goes on at the next window. Times are rounded once,
to whole ms from the start of the recording, and never run backwards.
Public: `Recogniser`, `WindowedRecogniser`, `Progress`, `SoFar`, `settings_line`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from walkgrade.errors import AudioError
from walkgrade.speech.cache import RecognitionCache, recognition_key
from walkgrade.speech.decode import RATE, Sound
from walkgrade.speech.engine import Engine, Piece
from walkgrade.speech.guards import (
    better,
    cut_loops,
    join_pieces,
    nothing_heard,
    sparse,
    suspicious,
)
from walkgrade.speech.models import ModelFolder
from walkgrade.speech.quieten import quieten
from walkgrade.speech.records import SoundNotice, Transcript, Word
from walkgrade.speech.segments import in_order, segments_of
from walkgrade.speech.timeline import PackedTime, Region, pack, to_ms, window_cut

WINDOW = 300 * RATE
TAIL = 60 * RATE
CHUNK = 30 * RATE
BATCH = 4
OTHER_LANGUAGE = 0.8
HARD_LOGPROB = -0.8
HARD_PROB = 0.75
LANGUAGE_CHUNKS = 3

Samples = NDArray[np.float32]
Progress = Callable[[int, int], None]
"""Called with ms heard and ms in all."""

SoFar = Callable[[Transcript], None]
"""Called with the words heard so far while there is more to hear."""


class Recogniser(Protocol):
    """Anything that turns a checked sound into a transcript."""

    def settings(self, terms: Sequence[str] = ()) -> str:
        """Everything besides sound and weights that can change the result, as one line."""

    def recognise(
        self,
        sound: Sound,
        *,
        terms: Sequence[str] = (),
        progress: Progress | None = None,
        so_far: SoFar | None = None,
    ) -> tuple[Transcript, tuple[SoundNotice, ...]]:
        """The transcript, and what the reader should know about the sound."""


@dataclass(slots=True)
class _Heard:
    """How far a run has come (`reached` in samples): all that is needed to go on from there."""

    reached: int = 0
    words: list[Word] = field(default_factory=list)
    spoken: bool = False


def settings_line(label: str, terms: Sequence[str], *, window: int = WINDOW) -> str:
    """The engine's label, how a recording is heard, and which words were expected."""
    line = f"{label}, window {window // RATE}, quietened, the last singly"
    if not terms:
        return line
    return f"{line}, told {hashlib.sha256('|'.join(terms).encode()).hexdigest()[:12]}"


@dataclass(frozen=True, slots=True)
class WindowedRecogniser:
    """Hears a recording window by window through an engine.

    Parameters
    ----------
    engine : see `walkgrade.speech.engine.Engine`.
    model : names the weights in the transcript.
    cache : where unfinished work is kept; None keeps nothing.
    window : samples heard at a time.
    batch : chunks decoded at a time; more need more memory. The last `batch` to 2 `batch` - 1 of a
        recording are decoded one by one, so that little is left to do when a growing one ends.
    linguist : makes an engine that knows many languages, for an `engine` that does not; called
        only when the first chunks are very doubtful.
    growing : the recording goes on: its last chunk, which the next sound will change, is left out,
        and what will be a batch when there is more is decoded as one beforehand.
    """

    engine: Engine
    model: ModelFolder
    cache: RecognitionCache | None = None
    window: int = WINDOW
    batch: int = BATCH
    linguist: Callable[[], Engine] | None = None
    growing: bool = False

    def settings(self, terms: Sequence[str] = ()) -> str:
        """Everything besides sound and weights that can change the result, as one line."""
        return settings_line(self.engine.label, terms, window=self.window)

    def recognise(
        self,
        sound: Sound,
        *,
        terms: Sequence[str] = (),
        progress: Progress | None = None,
        so_far: SoFar | None = None,
    ) -> tuple[Transcript, tuple[SoundNotice, ...]]:
        """Hear the whole recording; `terms` are told to the engine as words to expect.

        Raises
        ------
        AudioError A10 : nobody speaks. A11 : another language than English is spoken.
        """
        settings = self.settings(terms)
        key = recognition_key(sound.sha256, self.model.sha256, settings)
        heard = self._resume(key)
        for window, regions, reached, last in self._windows(sound, heard.reached):
            self._hear(heard, window, pack(regions, CHUNK), tuple(terms), last)
            heard.reached = reached
            self._save(key, heard)
            if progress is not None:
                progress(min(to_ms(reached), sound.duration), sound.duration)
            if so_far is not None and heard.words and not last:
                so_far(self._transcript(sound, heard, settings, key))
        if not heard.words:
            raise AudioError(
                "A10",
                f"no speech was found in {sound.path.name}.",
                "Check that the microphone picked up your voice and not only the engine.",
            )
        return self._transcript(sound, heard, settings, key), (*sound.notices, *_doubts(heard))

    def _transcript(self, sound: Sound, heard: _Heard, settings: str, key: str) -> Transcript:
        return Transcript(
            id=f"{sound.sha256[:12]}-{key[-8:]}",
            segments=segments_of(in_order(heard.words, sound.duration)),
            duration=sound.duration,
            origin="recognised",
            audio_sha256=sound.sha256,
            model=self.model.name,
            model_sha256=self.model.sha256,
            settings=settings,
        )

    def _windows(
        self, sound: Sound, start: int
    ) -> Iterator[tuple[Samples, tuple[Region, ...], int, bool]]:
        """Windows of sound, the regions in them where someone speaks, where each ends, and whether
        it is the last.

        Every window but the last looks at exactly `self.window` samples from its start, so a run
        that goes on after an interruption cuts where the uninterrupted run would have cut.
        """
        source = sound.blocks(start=start)
        waiting = np.zeros(0, dtype=np.float32)
        while True:
            while waiting.size <= self.window and (block := next(source, None)) is not None:
                waiting = np.concatenate((waiting, block))
            if waiting.size == 0:
                return
            window = quieten(waiting[: self.window])
            regions, cut = self.engine.speech(window), window.size
            last = waiting.size <= self.window
            if not last:
                cut = window_cut(regions, window.size, max(window.size - TAIL, 1))
            start += cut
            inside = tuple(Region(r.start, min(r.end, cut)) for r in regions if r.start < cut)
            yield window[:cut], inside, start, last
            waiting = waiting[cut:]

    def _hear(
        self,
        heard: _Heard,
        window: Samples,
        groups: tuple[tuple[Region, ...], ...],
        terms: tuple[str, ...],
        last: bool,
    ) -> None:
        """The words of a window, whose regions are packed into `groups`, added to `heard`."""
        whole = max(0, (len(groups) // self.batch - 1) * self.batch) if last else len(groups)
        open_end = self.growing and last
        groups = groups[:-1] if open_end else groups
        chunks = [np.concatenate([window[r.start : r.end] for r in group]) for group in groups]
        batches = [(at, at + self.batch) for at in range(0, whole, self.batch)]
        for start, end in batches + [(at, at + 1) for at in range(whole, len(groups))]:
            pieces = self._decode(chunks[start:end], terms)
            if not heard.spoken:
                self._check_language(chunks[:LANGUAGE_CHUNKS], pieces)
                heard.spoken = True
            for group, piece in zip(groups[start:end], pieces, strict=True):
                heard.words.extend(_words(piece, group, heard.reached))
        if open_end and whole + self.batch <= len(chunks):
            self._decode(chunks[whole : whole + self.batch], terms)

    def _decode(self, chunks: Sequence[Samples], terms: tuple[str, ...]) -> list[Piece]:
        """One pass that expects the terms, and a careful one that expects nothing over the chunks
        that look wrong."""
        pieces = list(self.engine.decode(chunks, terms))
        again = [
            index
            for index, (piece, chunk) in enumerate(zip(pieces, chunks, strict=True))
            if suspicious(piece) or (terms and sparse(piece, chunk.size / RATE))
        ]
        if again:
            second = self.engine.decode([chunks[index] for index in again], careful=True)
            for index, piece in zip(again, second, strict=True):
                pieces[index] = better(pieces[index], piece)
        return pieces

    def _check_language(self, chunks: Sequence[Samples], pieces: Sequence[Piece]) -> None:
        """Refuse a recording whose first chunks are all clearly in another language.

        Weights that know only English write English words whatever is said, and doubt them: then
        another engine, if there is one, is asked for the language.
        """
        engine: Engine | None = self.engine
        if not self.engine.multilingual:
            doubtful = self.linguist is not None and mean_logprob(pieces) < HARD_LOGPROB
            engine = self.linguist() if doubtful and self.linguist is not None else None
        if engine is None:
            return
        guesses = [engine.language(chunk) for chunk in chunks]
        if all(code != "en" and prob >= OTHER_LANGUAGE for code, prob in guesses):
            code, prob = guesses[0]
            raise AudioError(
                "A11",
                f"the speech does not sound like English (language {code!r}, {prob:.0%}).",
                "A run is graded in English only.",
            )

    def _resume(self, key: str) -> _Heard:
        data = self.cache.find_unfinished(key) if self.cache else None
        if data is None:
            return _Heard()
        try:
            return _Heard(
                reached=int(data["reached"]),
                words=[Word(**word) for word in data["words"]],
                spoken=bool(data["spoken"]),
            )
        except (KeyError, TypeError, ValueError):
            return _Heard()

    def _save(self, key: str, heard: _Heard) -> None:
        if self.cache is not None:
            self.cache.keep_unfinished(key, asdict(heard))


def _words(piece: Piece, group: tuple[Region, ...], offset: int) -> list[Word]:
    """The words of a chunk at their place in the recording; none when nobody spoke."""
    if nothing_heard(piece):
        return []
    clock = PackedTime(group)
    words = []
    for word in cut_loops(join_pieces(piece.words)):
        start, end = clock.restore(word.start, word.end)
        words.append(
            Word(
                text=word.text,
                start=to_ms(offset + start),
                end=to_ms(offset + end),
                prob=round(min(max(word.prob, 0.0), 1.0), 4),
            )
        )
    return words


def mean_logprob(pieces: Sequence[Piece]) -> float:
    """Mean log probability over the words of all pieces, 0 when there are none."""
    words = sum(len(piece.words) for piece in pieces)
    return sum(piece.logprob * len(piece.words) for piece in pieces) / words if words else 0.0


def _doubts(heard: _Heard) -> Iterator[SoundNotice]:
    sure = sum(word.prob for word in heard.words) / max(1, len(heard.words))
    if sure < HARD_PROB:
        yield SoundNotice(
            code="N06",
            text=f"The speech is hard to make out, or is not English (words {sure:.0%} sure on "
            "average): expect many misheard words, and listen yourself before you trust a result.",
        )
