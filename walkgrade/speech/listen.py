"""The one call for sound: a file in, a transcript and notices out.

Decides: when a kept result is used, and how model, engine and cache are joined.
Conventions: nothing here touches a network unless `allow_hub` is set and the model is a hub name.
Public: `listen`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from walkgrade.speech.cache import RecognitionCache, recognition_key
from walkgrade.speech.decode import check_file, check_sound
from walkgrade.speech.engine import (
    Engine,
    EngineOptions,
    WhisperEngine,
    choose_device,
    engine_label,
)
from walkgrade.speech.memory import Load, Memory
from walkgrade.speech.models import (
    DEFAULT_MODEL,
    identify_model,
    installed_models,
    resolve_model,
)
from walkgrade.speech.places import cache_folder, digest_of
from walkgrade.speech.recognise import Progress, SoFar, WindowedRecogniser, settings_line
from walkgrade.speech.records import SoundNotice, Transcript


def listen(
    path: str | Path,
    *,
    model: str = DEFAULT_MODEL,
    device: str = "cpu",
    cache_dir: str | Path | None = None,
    progress: Progress | None = None,
    so_far: SoFar | None = None,
    terms: Sequence[str] = (),
    allow_hub: bool = False,
    fresh: bool = False,
    memory: Memory | None = None,
    growing: bool = False,
) -> tuple[Transcript, tuple[SoundNotice, ...]]:
    """Recognise the speech of a sound or video file.

    Parameters
    ----------
    path : any file whose sound PyAV can decode, up to three hours.
    model : name of the manifest, folder of a CTranslate2 Whisper model, or hub name.
    device : ``cpu``, ``cuda`` or ``auto``.
    cache_dir : see `places.cache_folder`.
    progress : called after each window with ms heard and ms in all.
    so_far : called after each window but the last with the words heard so far; not when a kept
        result is used.
    terms : words to expect.
    allow_hub : let an unknown model name be fetched from the hub.
    fresh : do not use a kept result.
    memory : engines that are loaded already, and what they remember.
    growing : the file is still being recorded: what is there is heard but for the last minutes,
        which are not settled yet, and nothing is kept (A10 when nothing is settled).

    Returns
    -------
    The transcript, and notices about the sound (empty when nothing is wrong).

    Raises
    ------
    AudioError : see `decode.check_sound` and `recognise.WindowedRecogniser.recognise`.
    ModelError : see `models.resolve_model` and `engine.WhisperEngine`.
    """
    asked = _Asked(
        path=check_file(path),
        folder=cache_folder(cache_dir),
        device=device,
        terms=tuple(terms),
        progress=progress,
        so_far=so_far,
        allow_hub=allow_hub,
        fresh=fresh,
        load=memory.engine if memory else WhisperEngine,
        growing=growing,
    )
    return _heard(asked, model)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    path: Path
    folder: Path
    device: str
    terms: tuple[str, ...]
    progress: Progress | None
    so_far: SoFar | None
    allow_hub: bool
    fresh: bool
    load: Load
    growing: bool

    @property
    def cache(self) -> RecognitionCache | None:
        """Where results are kept: nowhere while the file grows, for its name there is its sum."""
        return None if self.growing else RecognitionCache(self.folder)


def _heard(asked: _Asked, model: str) -> tuple[Transcript, tuple[SoundNotice, ...]]:
    """The transcript, kept or made."""
    options = EngineOptions()
    settings = settings_line(engine_label(choose_device(asked.device), options), asked.terms)
    kept = _kept(asked, model, settings)
    if kept is not None:
        return kept
    sound = check_sound(asked.path)
    weights = resolve_model(model, cache_dir=asked.folder, allow_hub=asked.allow_hub)
    recogniser = WindowedRecogniser(
        engine=asked.load(weights, device=asked.device, options=options),
        model=weights,
        cache=asked.cache,
        linguist=_linguist(asked),
        growing=asked.growing,
    )
    transcript, notices = recogniser.recognise(
        sound, terms=asked.terms, progress=asked.progress, so_far=asked.so_far
    )
    if asked.cache is not None:
        key = recognition_key(sound.sha256, weights.sha256, transcript.settings)
        asked.cache.keep(key, transcript, notices)
    return transcript, notices


def _kept(
    asked: _Asked, model: str, settings: str
) -> tuple[Transcript, tuple[SoundNotice, ...]] | None:
    """The kept result, if there is one and it may be used."""
    known = identify_model(model, cache_dir=asked.folder)
    if asked.cache is None or known is None or asked.fresh:
        return None
    return asked.cache.find(recognition_key(digest_of(asked.path), known[1], settings))


def _linguist(asked: _Asked) -> Callable[[], Engine] | None:
    """How to get an engine that knows many languages, when its weights are installed."""
    named = next((model for model in installed_models() if model.multilingual), None)
    if named is None:
        return None
    return lambda: asked.load(
        resolve_model(named.name, cache_dir=asked.folder), device=asked.device
    )
