"""A steady noise made quieter before the recogniser hears it: a diesel at idle, a fan, wind.

Decides: what is noise (what a band of frequencies never falls below for some seconds), how much of
it is taken away, and that a quiet recording is left as it is.
Conventions: samples are float32 mono at `decode.RATE`; power spectra are (frames, bands); a gain is
0..1. Sound far from the end of what is given does not depend on how much more is given, so a
growing recording keeps what was heard of it.
Method: Wiener gains with the decision-directed estimate of Ephraim and Malah (1984, "Speech
enhancement using a minimum mean-square error short-time spectral amplitude estimator"), noise from
low quantiles over time (Stahl, Fischer and Bippus 2000, "Quantile based noise estimation for
spectral subtraction and Wiener filtering"). `FLOOR` was chosen on check recordings
(docs/decisions/0009).
Public: `quieten`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]
Power = NDArray[np.float32]

SIZE, HOP = 512, 256
"""Samples of a frame and between frames: 32 and 16 ms."""
BLOCK = 187
"""Frames, about 3 s, of which each has one estimate of the noise; it looks at twice as many."""
QUANTILE = 0.2
RAISE = 1.5
"""From that quantile of smoothed power to its mean, about, for noise alone."""
FLOOR = 10 ** (-12 / 20)
"""The least gain: more taken away makes words sound unlike any the recogniser has learnt."""
MEMORY = 0.96
"""How much of the estimate of speech comes from the frame before."""
SMOOTH = 6  # frames over which power is smoothed before its quantile is taken
NOISY = 10 ** (-17 / 10)
"""Noise this much below the loud frames, or less, is not worth touching."""
_LOUD = 0.9
_WINDOW = np.sqrt(np.hanning(SIZE + 1)[:-1]).astype(np.float32)


def quieten(sound: Samples) -> Samples:
    """The sound with steady noise taken down by at most 12 dB; itself when there is little."""
    if sound.size < SIZE * 4:
        return sound
    spectra = _spectra(sound)
    power = (spectra.real**2 + spectra.imag**2).astype(np.float32)
    noise = _noise(power)
    total = power.sum(axis=1)
    if noise.sum(axis=1).mean() <= NOISY * np.quantile(total, _LOUD):
        return sound
    return _sound(spectra * _gains(power, noise), sound.size)


def _spectra(sound: Samples) -> NDArray[np.complex64]:
    """(frames, bands) of the sound, which is taken to be silent before and after."""
    count = -(-sound.size // HOP) + 1
    padded = np.zeros((count - 1) * HOP + SIZE, dtype=np.float32)
    padded[HOP : HOP + sound.size] = sound
    frames = np.lib.stride_tricks.sliding_window_view(padded, SIZE)[::HOP]
    spectra: NDArray[np.complex64] = np.fft.rfft(frames * _WINDOW, axis=1).astype(np.complex64)
    return spectra


def _sound(spectra: NDArray[np.complex64], size: int) -> Samples:
    """Back to samples: overlapping halves of the frames added."""
    frames = (np.fft.irfft(spectra, n=SIZE, axis=1) * _WINDOW).astype(np.float32)
    halves = np.zeros((len(frames) + 1, HOP), dtype=np.float32)
    halves[:-1] += frames[:, :HOP]
    halves[1:] += frames[:, HOP:]
    return halves.reshape(-1)[HOP : HOP + size]


def _noise(power: Power) -> Power:
    """Power of the noise in each frame and band, from the quieter moments around."""
    totals = np.cumsum(np.concatenate([np.zeros_like(power[:1]), power]), axis=0, dtype=np.float64)
    ends = np.arange(1, len(power) + 1)
    starts = np.maximum(ends - SMOOTH, 0)
    smooth = (totals[ends] - totals[starts]) / (ends - starts)[:, None]
    edges = range(0, len(power), BLOCK)
    low = np.stack([np.quantile(smooth[at : at + 2 * BLOCK], QUANTILE, axis=0) for at in edges])
    beside = np.minimum(np.vstack([low[:1], low[:-1]]), np.vstack([low[1:], low[-1:]]))
    low = np.minimum(low, np.maximum(beside, low / 2)) * RAISE
    middles = np.arange(len(low)) * BLOCK + BLOCK
    at = np.interp(np.arange(len(power)), middles, np.arange(len(low)))
    before = np.floor(at).astype(int)
    after = np.minimum(before + 1, len(low) - 1)
    part = (at - before)[:, None]
    between: Power = (low[before] * (1 - part) + low[after] * part).astype(np.float32)
    return between


def _gains(power: Power, noise: Power) -> Power:
    """Wiener gains; the estimate of speech in a frame leans on the frame before."""
    over = power / (noise + 1e-12)
    fresh = (1 - MEMORY) * np.maximum(over - 1, 0)
    gains = np.empty_like(power)
    kept = np.zeros_like(power[0])
    for at in range(len(power)):
        ratio = MEMORY * kept + fresh[at]
        gain = np.maximum(ratio / (1 + ratio), FLOOR)
        gains[at] = gain
        kept = gain * gain * over[at]
    return gains
