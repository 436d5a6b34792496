"""Steady noise is taken down, speech is not, and a quiet recording stays as it is."""

from __future__ import annotations

import numpy as np
import pytest

from walkgrade.speech.decode import RATE
from walkgrade.speech.quieten import FLOOR, HOP, SIZE, quieten

SECONDS = 30


def noise(level: float, seed: int = 3) -> np.ndarray:
    return (level * np.random.default_rng(seed).standard_normal(SECONDS * RATE)).astype(np.float32)


def bursts(level: float = 0.3) -> np.ndarray:
    """A tone of 800 Hz for a third of every second, as words come and go."""
    at = np.arange(SECONDS * RATE) / RATE
    return (level * np.sin(2 * np.pi * 800 * at) * ((at % 1.0) < 0.33)).astype(np.float32)


def decibels(sound: np.ndarray) -> float:
    return 10 * float(np.log10(np.mean(np.square(sound, dtype=np.float64))))


def test_silence_and_quiet_recordings_are_left_alone() -> None:
    for sound in (np.zeros(SECONDS * RATE, np.float32), bursts() + noise(0.001)):
        assert quieten(sound) is sound


@pytest.mark.parametrize("size", [0, 1, SIZE, 4 * SIZE - 1])
def test_what_is_too_short_to_know_its_noise_is_left_alone(size: int) -> None:
    sound = noise(0.1)[:size]
    assert quieten(sound) is sound


def test_noise_alone_falls_by_no_more_than_the_floor_and_by_most_of_it() -> None:
    sound = noise(0.05)
    fallen = decibels(sound) - decibels(quieten(sound))
    assert 8 < fallen <= -20 * np.log10(FLOOR) + 0.1


def test_the_gaps_between_words_get_quieter_and_the_words_do_not() -> None:
    speech, hum = bursts(), noise(0.06)
    after = quieten(speech + hum)
    spoken = np.abs(speech) > 0
    gaps = ~np.convolve(spoken, np.ones(4 * SIZE), "same").astype(bool)
    assert decibels(after[gaps]) < decibels(hum[gaps]) - 8
    assert abs(decibels(after[spoken]) - decibels((speech + hum)[spoken])) < 1.0


def test_length_and_time_stay() -> None:
    speech = bursts()
    for size in (SECONDS * RATE, SECONDS * RATE - 1, 7 * HOP + 5 + 4 * SIZE):
        after = quieten((speech + noise(0.06))[:size])
        assert after.size == size
        assert after.dtype == np.float32
        alike = np.corrcoef(after[: 4 * SIZE], speech[: 4 * SIZE])[0, 1]
        assert alike > 0.95  # a shift by half a period of the tone would make it -1


def test_more_sound_later_does_not_change_what_was_long_before() -> None:
    sound = bursts() + noise(0.05)
    whole, part = quieten(sound), quieten(sound[: 20 * RATE])
    settled = 8 * RATE
    assert np.abs(whole[:settled] - part[:settled]).max() < 1e-5
    assert np.abs(whole[:settled] - sound[:settled]).max() > 1e-3
