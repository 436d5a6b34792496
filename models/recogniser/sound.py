"""Sound as Whisper takes it, and made unlike itself so that it is not learnt by heart.

Decides: the log mel spectrum of faster-whisper (`feature_extractor.py`: 400-sample frames every
160, the last frame left out, nothing after the sound but zeros), speeds, colours, rooms, noise, and
longer or shorter throats (Jaitly and Hinton 2013, "Vocal tract length perturbation (VTLP) improves
speech recognition").
Conventions: samples are float32 (runs, n) at 16 kHz, `sizes` says how many of a row are sound;
features are (runs, 80, 3000).
"""

from __future__ import annotations

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional as F  # noqa: N812

RATE, HOP, FRAME, BANDS, FRAMES = 16_000, 160, 400, 80, 3000


def mel_filters() -> Tensor:
    """(80, 201): triangles of equal area on Slaney's mel scale, as librosa makes them."""
    tops = _hertz(np.linspace(_mel(0.0), _mel(RATE / 2), BANDS + 2))
    bins = np.fft.rfftfreq(FRAME, 1 / RATE)
    slopes = tops[:, None] - bins[None]
    widths = np.diff(tops)
    rising, falling = -slopes[:-2] / widths[:-1, None], slopes[2:] / widths[1:, None]
    filters = np.maximum(0, np.minimum(rising, falling))
    filters *= (2 / (tops[2:] - tops[:-2]))[:, None]
    return torch.tensor(filters, dtype=torch.float32)


def _mel(hertz: float) -> float:
    if hertz < 1000:
        return hertz * 3 / 200
    return 15 + float(np.log(hertz / 1000)) * 27 / float(np.log(6.4))


def _hertz(mels: np.ndarray) -> np.ndarray:
    above = 1000 * np.exp(np.log(6.4) / 27 * (mels - 15))
    return np.where(mels < 15, mels * 200 / 3, above)


def bent(filters: Tensor, runs: int) -> Tensor:
    """(runs, 80, 201): `filters` as they are for half of the runs, for the others over a spectrum
    drawn out or pressed together by up to an eighth below 4.8 kHz, its ends where they were."""
    bins = torch.arange(filters.shape[1], device=filters.device, dtype=torch.float32)
    last, knee = filters.shape[1] - 1.0, 0.6 * (filters.shape[1] - 1.0)
    factor = torch.empty(runs, 1, device=filters.device).uniform_(0.88, 1.125)
    factor = torch.where(torch.rand_like(factor) < 0.5, torch.ones_like(factor), factor)
    above = factor * knee + (bins - knee) * (last - factor * knee) / (last - knee)
    place = torch.where(bins < knee, factor * bins, above)
    between = (1 - (place[:, :, None] - bins).abs()).clamp(min=0)
    return filters @ between


def features(samples: Tensor, sizes: Tensor, filters: Tensor) -> Tensor:
    """The log mel spectrum of each run, zeros behind it; `filters` for all, or for each run."""
    window = torch.hann_window(FRAME, device=samples.device)
    spectrum = torch.stft(
        F.pad(samples, (0, HOP)), FRAME, HOP, window=window, return_complex=True
    )[..., :-1]  # fmt: skip
    mels = torch.log10((filters @ spectrum.abs().square()).clamp(min=1e-10))
    count = sizes // HOP
    inside = torch.arange(mels.shape[-1], device=samples.device)[None] < count[:, None]
    top = mels.masked_fill(~inside[:, None], -10.0).amax(dim=(1, 2), keepdim=True)
    mels = (torch.maximum(mels, top - 8) + 4) / 4
    mels = mels * inside[:, None]
    return F.pad(mels, (0, FRAMES - mels.shape[-1]))[..., :FRAMES]


def disguise(samples: Tensor, sizes: Tensor, noise: Tensor) -> tuple[Tensor, Tensor]:
    """Each batch at another speed, each run in another colour, some with noise or a narrow band."""
    speed = float(torch.empty(1).uniform_(0.86, 1.16))
    room = RATE * 30
    if int(sizes.max()) / speed > room:
        speed = int(sizes.max()) / room
    length = int(samples.shape[1] / speed)
    samples = F.interpolate(samples[:, None], size=length, mode="linear")[:, 0]
    sizes = (sizes / speed).long().clamp(max=length)
    samples = _coloured(samples)
    runs = samples.shape[0]
    start = torch.randint(0, noise.numel() - length, (runs,), device=samples.device)
    drawn = noise[start[:, None] + torch.arange(length, device=samples.device)]
    below = torch.empty(runs, 1, device=samples.device).uniform_(12, 40)
    loud = samples.square().mean(dim=1, keepdim=True).sqrt()
    own = drawn.square().mean(dim=1, keepdim=True).sqrt() + 1e-6
    with_noise = torch.rand(runs, 1, device=samples.device) < 0.4
    samples = samples + with_noise * drawn * loud / own * 10 ** (-below / 20)
    gain = torch.empty(runs, 1, device=samples.device).uniform_(-12, 4)
    inside = torch.arange(length, device=samples.device)[None] < sizes[:, None]
    return (samples * 10 ** (gain / 20)).clamp(-1, 1) * inside, sizes


def _coloured(samples: Tensor) -> Tensor:
    """A gentle random slope over frequency for each run; one in ten by telephone, some in a room."""
    runs = samples.shape[0]
    spectrum = torch.fft.rfft(samples)
    hertz = torch.fft.rfftfreq(samples.shape[1], 1 / RATE, device=samples.device)
    place = (hertz / 4000)[None]
    shape = torch.randn(runs, 3, device=samples.device) * 2.5
    tilt = shape[:, :1] * (place - 1)
    bumps = shape[:, 1:2] * torch.cos(np.pi * place) + shape[:, 2:] * torch.cos(2 * np.pi * place)
    gain = 10 ** ((tilt + bumps).clamp(-10, 10) / 20)
    phone = torch.rand(runs, 1, device=samples.device) < 0.1
    narrow = ((hertz > 300) & (hertz < 3400))[None]
    gain = torch.where(phone & ~narrow, gain * 0.02, gain)
    room = torch.fft.rfft(_rooms(runs, samples.device), n=samples.shape[1])
    return torch.fft.irfft(spectrum * gain * room, n=samples.shape[1])


def _rooms(runs: int, device: torch.device) -> Tensor:
    """(runs, 0.4 s): the sound itself and, for one run in four, a dying echo 3 to 18 dB below it."""
    length = int(0.4 * RATE)
    time = torch.arange(length, device=device)[None] / RATE
    fades = torch.empty(runs, 1, device=device).uniform_(0.1, 0.45)
    echo = torch.randn(runs, length, device=device) * 10 ** (-3 * time / fades)
    echo[:, : RATE // 500] = 0
    below = torch.empty(runs, 1, device=device).uniform_(3, 18)
    loud = 10 ** (-below / 20) * (torch.rand(runs, 1, device=device) < 0.25)
    echo = echo * loud / echo.square().sum(dim=1, keepdim=True).sqrt()
    echo[:, 0] = 1
    return echo
