"""Yard noise: the same numbers give the same sound, and the level asked for is the level got."""

import numpy as np
import pytest

from seeds import noise

RATE = 16_000


def speech_like(seconds: float = 6.0) -> noise.Sound:
    """Bursts of tone with silences between, as lines with pauses are."""
    time = np.arange(int(seconds * RATE)) / RATE
    tone = np.sin(2 * np.pi * 220 * time) + 0.5 * np.sin(2 * np.pi * 1100 * time)
    return (0.1 * tone * (np.sin(2 * np.pi * 0.5 * time) > 0.3)).astype(np.float32)


def test_same_seed_same_samples() -> None:
    first = noise.yard_noise(7, 3 * RATE, RATE)
    assert np.array_equal(first, noise.yard_noise(7, 3 * RATE, RATE))
    assert not np.array_equal(first, noise.yard_noise(8, 3 * RATE, RATE))


def test_noise_has_the_sound_of_a_yard() -> None:
    """Energy at the firing harmonics and in the speech band, little beneath 80 Hz."""
    sound = noise.yard_noise(3, 20 * RATE, RATE)
    power = np.abs(np.fft.rfft(sound)) ** 2
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)

    def share(low: float, high: float) -> float:
        return float(power[(hertz >= low) & (hertz < high)].sum() / power.sum())

    assert share(0, 50) < 0.1
    assert share(300, 3400) > 0.2
    assert np.sqrt(np.mean(sound**2)) == pytest.approx(0.1, rel=0.01)


@pytest.mark.parametrize("wanted", [20.0, 10.0, 5.0, 0.0])
def test_level_is_what_was_asked(wanted: float) -> None:
    """Checked by plain arithmetic on the mixture, apart from the module's own measure."""
    speech = speech_like()
    yard = noise.scaled_to(speech, noise.yard_noise(1, len(speech), RATE), wanted, RATE)
    assert noise.measured_snr(speech, yard, RATE) == pytest.approx(wanted, abs=0.01)
    speaking = np.abs(speech) > 0
    ratio = 10 * np.log10(np.mean(speech[speaking] ** 2) / np.mean(yard[speaking] ** 2))
    assert ratio == pytest.approx(wanted, abs=0.5)


def test_silence_has_no_ratio() -> None:
    nothing = np.zeros(RATE, dtype=np.float32)
    assert noise.measured_snr(nothing, noise.yard_noise(1, RATE, RATE), RATE) == float("inf")


def test_telephone_keeps_the_band_only() -> None:
    time = np.arange(RATE) / RATE
    for hertz, kept in ((100, False), (1000, True), (6000, False)):
        tone = (0.1 * np.sin(2 * np.pi * hertz * time)).astype(np.float32)
        level = float(np.std(noise.telephone(tone, RATE)))
        assert (level > 0.05) is kept, hertz
