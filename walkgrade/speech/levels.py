"""How loud a recording is, worked out block by block.

Decides: what counts as silence, as very quiet and as clipped.
Conventions: samples are float32 in -1..1 (a lossy decoder may overshoot); levels are RMS of whole
100 ms steps, in dB relative to full scale. The thresholds are common practice, no source; each was
checked on the generated sounds of the tests.
Public: `LevelMeter`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

STEP = 1600
CLIP_AT = 0.985
CLIPPED_SHARE = 0.001
SILENT_DB = -60.0
QUIET_DB = -40.0


@dataclass(slots=True)
class LevelMeter:
    """Running totals over the blocks shown to `add`."""

    samples: int = 0
    clipped: int = 0
    peak: float = 0.0
    loudest: float = 0.0

    def add(self, block: NDArray[np.float32]) -> None:
        """Count one block (any length)."""
        if block.size == 0:
            return
        size = np.abs(block)
        self.samples += block.size
        self.clipped += int(np.count_nonzero(size >= CLIP_AT))
        self.peak = max(self.peak, float(size.max()))
        whole = block[: block.size // STEP * STEP] if block.size >= STEP else block
        steps = whole.reshape(-1, STEP) if block.size >= STEP else whole.reshape(1, -1)
        power = np.mean(np.square(steps, dtype=np.float64), axis=1)
        self.loudest = max(self.loudest, float(power.max()))

    @property
    def loudest_db(self) -> float:
        """Level of the loudest 100 ms in dB full scale (-120 when there is nothing)."""
        return 10 * math.log10(max(self.loudest, 1e-12))

    @property
    def silent(self) -> bool:
        """True when not even the loudest 100 ms reaches `SILENT_DB`."""
        return self.loudest_db < SILENT_DB

    @property
    def quiet(self) -> bool:
        """True when speech, if any, is far below a usual level."""
        return self.loudest_db < QUIET_DB

    @property
    def clipped_share(self) -> float:
        """Samples at full scale divided by all samples, 0..1."""
        return self.clipped / self.samples if self.samples else 0.0

    @property
    def is_clipped(self) -> bool:
        """True when so many samples sit at full scale that the microphone was overdriven."""
        return self.clipped_share > CLIPPED_SHARE
