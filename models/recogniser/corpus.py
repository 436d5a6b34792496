"""Everything spoken that the recogniser learns from, read into memory, and batches of it.

Decides: that each recording is there clean and twice in yard noise, the noise taken down as
`walkgrade.speech.quieten` does before a run is heard; and that a share of each batch is general
talk, on which the network is to stay what it was.
Public: `read_spoken`, `batches`, `apart`.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import random
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from models.recogniser.chunks import RATE, Spoken, batch, draw
from seeds.noise import scaled_to, yard_noise
from walkgrade.speech.quieten import quieten

GENERAL = 0.25
NOISY = ((9, 11, 14, 18), (3, 5, 7, 9))
"""Speech above noise in dB; one of each row is drawn for a recording."""
WINDOW = 300 * RATE
AHEAD = 12
"""Batches made before they are needed."""


def apart(size: int, general: Sequence[Spoken]) -> int:
    """How many of a batch of `size` are general talk; they come first."""
    return int(size * GENERAL) if general else 0


def read_sound(place: Path) -> list[NDArray[np.int16]]:
    """The recording clean, in some noise and in much, and last the noise alone."""
    sound, rate = soundfile.read(place, dtype="float32")
    if rate != RATE:
        raise ValueError(f"{place.name} has {rate} Hz; {RATE} are needed")
    seed = int(hashlib.sha256(place.name.encode()).hexdigest()[:8], 16)
    rng = random.Random(seed)
    yard = yard_noise(seed, len(sound), RATE)
    made = [sound]
    for ratios in NOISY:
        noisy = sound + scaled_to(sound, yard, rng.choice(ratios), RATE)
        pieces = [quieten(noisy[at : at + WINDOW]) for at in range(0, len(noisy), WINDOW)]
        made.append(np.concatenate(pieces))
    made.append(yard[: 40 * RATE] * 2)
    return [(np.clip(one, -1, 1) * 32767).astype(np.int16) for one in made]


def read_spoken(
    folder: Path, words: Path, workers: int
) -> tuple[list[Spoken], list[Spoken], NDArray[np.int16], dict[str, Any]]:
    """Scripts that were spoken, general talk, noise in one row, and the recogniser's marks."""
    with gzip.open(words, "rt", encoding="utf-8") as file:
        data = json.load(file)
    names = sorted(name for name in data["runs"] if (folder / f"{name}.opus").exists())
    with ProcessPoolExecutor(workers) as pool:
        sounds = list(pool.map(read_sound, [folder / f"{name}.opus" for name in names]))
    spoken = [
        Spoken(sounds=kept, times=run["times"], tokens=run["tokens"], told=run["told"])
        for (*kept, _), run in zip(sounds, (data["runs"][name] for name in names), strict=True)
    ]
    noise = np.concatenate([noise for *_, noise in sounds])
    scripts, general = [s for s in spoken if s.told], [s for s in spoken if not s.told]
    return scripts, general, noise, data["marks"]


def batches(
    spoken: Sequence[Spoken],
    general: Sequence[Spoken],
    noise: NDArray[np.int16],
    marks: dict[str, Any],
    size: int,
    seed: int,
) -> Iterator[tuple[NDArray[Any], ...]]:
    """Batches without end, made ahead of time; general talk first in each."""

    def make(number: int) -> tuple[NDArray[Any], ...]:
        rng = random.Random(seed * 1_000_003 + number)
        count = apart(size, general)
        chunks = [draw(general, noise, rng, spoken) for _ in range(count)]
        chunks += [draw(spoken, noise, rng) for _ in range(size - count)]
        return batch(chunks, marks)

    with ThreadPoolExecutor(10) as pool:
        waiting = [pool.submit(make, number) for number in range(AHEAD)]
        number = AHEAD
        while True:
            yield waiting.pop(0).result()
            waiting.append(pool.submit(make, number))
            number += 1
