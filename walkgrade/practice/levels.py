"""How loud the microphone is right now, and whether the person should be told.

Decides: when the level counts as silent or clipping while recording. The thresholds are those of
the check after recording (`walkgrade.speech.levels`); the times held are common practice, no
source.
Conventions: 16-bit samples; levels in dB relative to full scale, -120 for nothing. Ages are
counted in samples, so no clock is read.
Public: `Meter`, `Level`.
"""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass, field

import numpy as np

from walkgrade.speech.levels import CLIP_AT, QUIET_DB, SILENT_DB

LOOK_BACK_S = 5.0
CLIP_HELD_S = 2.0
FULL_SCALE = 32768.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """Level of the newest block, and what the last seconds say together."""

    db: float = -120.0
    silent: bool = False
    quiet: bool = False
    clipping: bool = False


@dataclass(slots=True)
class Meter:
    """Takes the blocks of a recording at `rate` samples a second in turn."""

    rate: int
    _recent: deque[tuple[int, float]] = field(default_factory=deque)
    _span: int = 0
    _since_clip: int | None = None

    def add(self, block: bytes) -> Level:
        """Count one block; how the microphone stands after it.

        `silent`: not one block of the last five seconds reaches the level of silence. `quiet`: none
        reaches that of speech. `clipping`: full scale was hit within the last two seconds.
        """
        samples = np.frombuffer(block[: len(block) // 2 * 2], dtype="<i2")
        if samples.size == 0:
            return self._level(-120.0)
        size = np.abs(samples.astype(np.float64)) / FULL_SCALE
        db = 20 * math.log10(max(math.sqrt(float(np.mean(np.square(size)))), 1e-6))
        self._note(samples.size, db, clipped=bool(size.max() >= CLIP_AT))
        return self._level(db)

    def _note(self, count: int, db: float, *, clipped: bool) -> None:
        self._recent.append((count, db))
        self._span += count
        while self._span - self._recent[0][0] >= LOOK_BACK_S * self.rate:
            self._span -= self._recent.popleft()[0]
        if clipped:
            self._since_clip = 0
        elif self._since_clip is not None:
            self._since_clip += count

    def _level(self, db: float) -> Level:
        whole = self._span >= LOOK_BACK_S * self.rate
        loudest = max((one for _, one in self._recent), default=-120.0)
        held = self._since_clip is not None and self._since_clip < CLIP_HELD_S * self.rate
        return Level(
            db=db,
            silent=whole and loudest < SILENT_DB,
            quiet=whole and SILENT_DB <= loudest < QUIET_DB,
            clipping=held,
        )
