"""Yard noise and its level against speech, all of it from numbers, none recorded.

Decides: what a bus yard sounds like (a diesel at idle, wind gusts, a backing alarm now and then,
an air-dryer purge), how loud it is against the speech, and what a telephone does to both.
Conventions: sound is float32 mono; `rate` in Hz; levels in dB. The same seed, length and rate give
the same samples. Signal-to-noise ratio is that of ITU-T P.56 in spirit: RMS of the speech over the
frames where somebody speaks, against RMS of the noise over the same frames, full band.
Public: `yard_noise`, `scaled_to`, `measured_snr`, `active_mask`, `telephone`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import signal

Sound = NDArray[np.float32]

FRAME_MS = 20
ACTIVE_DROP_DB = 30.0
"""Frames within this many dB of the loud ones (95th centile) count as speech."""


def yard_noise(seed: int, length: int, rate: int) -> Sound:
    """`length` samples of yard noise at RMS 0.1, drawn from `seed`."""
    random = np.random.default_rng(seed)
    mix = _idle(random, length, rate)
    mix += 0.45 * _wind(random, length, rate)
    mix += _alarms(random, length, rate)
    mix += _purges(random, length, rate)
    # A phone hears little below 80 Hz; without this the lows would buy level that masks nothing.
    high = signal.butter(2, 80, "highpass", fs=rate, output="sos")
    mix = signal.sosfilt(high, mix)
    return (0.1 * mix / (_rms(mix) or 1.0)).astype(np.float32)


def _idle(random: np.random.Generator, length: int, rate: int) -> NDArray[np.float64]:
    """Six cylinders near 650 rpm: harmonics of the firing rate, and a clatter burst per firing."""
    drift = _slow(random, length, rate, seconds=3.0)
    firing = 32.5 * (1 + 0.02 * drift)
    phase = 2 * np.pi * np.cumsum(firing) / rate
    hum = np.zeros(length)
    for number in range(1, 13):
        hum += np.sin(number * phase + random.uniform(0, 2 * np.pi)) / number**0.7
    bursts = np.clip(np.cos(phase), 0, None) ** 6 + 0.25
    clatter = _pink(random, length) * bursts
    return 0.7 * hum / (_rms(hum) or 1.0) + 0.7 * clatter / (_rms(clatter) or 1.0)


def _pink(random: np.random.Generator, length: int) -> NDArray[np.float64]:
    """Noise that falls by 3 dB an octave, the usual stand-in for engines and traffic."""
    top = (0.049922035, -0.095993537, 0.050612699, -0.004408786)
    bottom = (1.0, -2.494956002, 2.017265875, -0.522189400)
    pink: NDArray[np.float64] = signal.lfilter(top, bottom, random.standard_normal(length))
    return pink


def _wind(random: np.random.Generator, length: int, rate: int) -> NDArray[np.float64]:
    """Rumble below 500 Hz that swells and dies over seconds."""
    low = signal.butter(2, 500, fs=rate, output="sos")
    rumble = signal.sosfilt(low, random.standard_normal(length))
    gust = np.clip(_slow(random, length, rate, seconds=2.0), 0, None) ** 1.5
    return rumble * gust / (_rms(rumble) or 1.0)


def _alarms(random: np.random.Generator, length: int, rate: int) -> NDArray[np.float64]:
    """A vehicle backing somewhere, about once a minute: 1250 Hz, half a second on, half off."""
    sound = np.zeros(length)
    for _ in range(int(random.poisson(length / rate / 60))):
        start = int(random.integers(0, max(1, length)))
        stop = min(length, start + int(rate * random.uniform(3, 7)))
        time = np.arange(stop - start) / rate
        beep = np.sin(2 * np.pi * 1250 * time) * ((time % 1.0) < 0.5)
        sound[start:stop] += random.uniform(0.3, 0.8) * beep
    return sound


def _purges(random: np.random.Generator, length: int, rate: int) -> NDArray[np.float64]:
    """An air dryer letting go, about every two minutes: a second of hiss that dies away."""
    sound = np.zeros(length)
    band = signal.butter(2, 1500, "highpass", fs=rate, output="sos")
    for _ in range(int(random.poisson(length / rate / 120))):
        start = int(random.integers(0, max(1, length)))
        stop = min(length, start + rate)
        hiss = signal.sosfilt(band, random.standard_normal(stop - start))
        sound[start:stop] += 0.8 * hiss * np.exp(-4 * np.arange(stop - start) / rate)
    return sound


def _slow(
    random: np.random.Generator, length: int, rate: int, *, seconds: float
) -> NDArray[np.float64]:
    """A smooth random curve of unit spread that turns over in about `seconds`."""
    knots = int(length / rate / seconds) + 4
    at = np.linspace(0, knots - 1, length)
    return np.interp(at, np.arange(knots), random.standard_normal(knots))


def _rms(sound: NDArray[np.floating]) -> float:
    return float(np.sqrt(np.mean(np.square(sound, dtype=np.float64)))) if sound.size else 0.0


def active_mask(speech: Sound, rate: int) -> NDArray[np.bool_]:
    """True for each sample in a `FRAME_MS` frame where somebody speaks."""
    width = rate * FRAME_MS // 1000
    padded = np.pad(speech.astype(np.float64), (0, -len(speech) % width)).reshape(-1, width)
    level = np.sqrt(np.mean(padded**2, axis=1))
    loud = np.percentile(level[level > 0], 95) if np.any(level > 0) else 0.0
    active = level > loud * 10 ** (-ACTIVE_DROP_DB / 20)
    return np.repeat(active, width)[: len(speech)]


def measured_snr(speech: Sound, noise: Sound, rate: int) -> float:
    """Signal-to-noise ratio in dB over the frames of `speech` where somebody speaks."""
    active = active_mask(speech, rate)
    if not np.any(active) or not np.any(noise):
        return float("inf")
    return 20 * float(np.log10(_rms(speech[active]) / _rms(noise[active])))


def scaled_to(speech: Sound, noise: Sound, snr_db: float, rate: int) -> Sound:
    """`noise` made as loud as `snr_db` below `speech` asks."""
    gain = 10 ** ((measured_snr(speech, noise, rate) - snr_db) / 20)
    return (noise * gain).astype(np.float32)


def telephone(sound: Sound, rate: int) -> Sound:
    """300 to 3400 Hz, 8 kHz sampling and mild clipping, given back at `rate`."""
    band = signal.butter(4, (300, 3400), "bandpass", fs=rate, output="sos")
    narrow = signal.resample_poly(signal.sosfilt(band, sound), 8000, rate)
    limit = 4.0 * _rms(narrow[active_mask(narrow.astype(np.float32), 8000)])
    clipped = np.tanh(narrow / limit) * limit if limit else narrow
    return signal.resample_poly(clipped, rate, 8000)[: len(sound)].astype(np.float32)
