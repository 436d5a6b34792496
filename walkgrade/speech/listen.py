"""The one call for sound: a file in, a transcript and notices out.

Decides: when a kept result is used, and how model, engine and cache are joined.
Conventions: nothing here touches a network unless `allow_hub` is set and the model is a hub name.
Public: `listen`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
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
from walkgrade.speech.models import DEFAULT_MODEL, identify_model, installed_models, resolve_model
from walkgrade.speech.places import cache_folder, digest_of
from walkgrade.speech.recognise import Progress, WindowedRecogniser, settings_line
from walkgrade.speech.records import SoundNotice, Transcript


def listen(
    path: str | Path,
    *,
    model: str = DEFAULT_MODEL,
    device: str = "cpu",
    cache_dir: str | Path | None = None,
    progress: Progress | None = None,
    terms: Sequence[str] = (),
    allow_hub: bool = False,
    fresh: bool = False,
) -> tuple[Transcript, tuple[SoundNotice, ...]]:
    """Recognise the speech of a sound or video file.

    Parameters
    ----------
    path : any file whose sound PyAV can decode, up to three hours.
    model : name of the manifest, folder of a CTranslate2 Whisper model, or hub name.
    device : ``cpu``, ``cuda`` or ``auto``.
    cache_dir : see `places.cache_folder`.
    progress : called after each window with ms heard and ms in all.
    terms : words to expect.
    allow_hub : let an unknown model name be fetched from the hub.
    fresh : do not use a kept result.

    Returns
    -------
    The transcript, and notices about the sound (empty when nothing is wrong).

    Raises
    ------
    AudioError : see `decode.check_sound` and `recognise.WindowedRecogniser.recognise`.
    ModelError : see `models.resolve_model` and `engine.WhisperEngine`.
    """
    place = check_file(path)
    folder = cache_folder(cache_dir)
    cache = RecognitionCache(folder)
    options = EngineOptions()
    settings = settings_line(engine_label(choose_device(device), options), terms)
    known = identify_model(model, cache_dir=folder)
    if known is not None and not fresh:
        kept = cache.find(recognition_key(digest_of(place), known[1], settings))
        if kept is not None:
            return kept
    sound = check_sound(place)
    weights = resolve_model(model, cache_dir=folder, allow_hub=allow_hub)
    recogniser = WindowedRecogniser(
        engine=WhisperEngine(weights, device=device, options=options),
        model=weights,
        cache=cache,
        linguist=_linguist(folder, device),
    )
    transcript, notices = recogniser.recognise(sound, terms=terms, progress=progress)
    cache.keep(
        recognition_key(sound.sha256, weights.sha256, transcript.settings), transcript, notices
    )
    return transcript, notices


def _linguist(folder: Path, device: str) -> Callable[[], Engine] | None:
    """How to get an engine that knows many languages, when its weights are installed."""
    named = next((model for model in installed_models() if model.multilingual), None)
    if named is None:
        return None
    return lambda: WhisperEngine(resolve_model(named.name, cache_dir=folder), device=device)
