"""Noise and telephone band, put on a clean recording while it is read.

Decides: that noise is added after the sound was stored clean, so one small file serves every
condition. The noise of a script is the same for every voice up to its length.
Conventions: conditions are those of `seeds.speak.CONDITIONS`; the files written are 16 kHz WAV.
Public: `in_condition_file`, `known_conditions`.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import soundfile

from seeds.speak import CONDITIONS, RATE, in_condition
from walkgrade.errors import InputError


def known_conditions(names: Sequence[str]) -> tuple[str, ...]:
    """The names, checked; ``I92`` for an unknown one."""
    if unknown := [name for name in names if name not in CONDITIONS]:
        raise InputError("I92", f"No condition {unknown}; known: {', '.join(CONDITIONS)}.")
    return tuple(names)


def in_condition_file(sound: Path, script: str, condition: str, scratch: Path) -> Path:
    """The file to hear: `sound` itself when clean, else a WAV below the folder `scratch`."""
    known_conditions([condition])
    if condition == "clean":
        return sound
    samples, rate = soundfile.read(sound, dtype="float32")
    if rate != RATE:
        raise InputError("I92", f"{sound.name} has {rate} Hz; the corpus has {RATE}.")
    mixed, _ = in_condition(samples, script, condition)
    place = scratch / f"{sound.stem}-{condition}.wav"
    soundfile.write(place, mixed, RATE, subtype="PCM_16")
    return place
