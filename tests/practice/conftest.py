"""What the practice tests share: a microphone made of blocks."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np
import pytest

RATE = 16_000
BLOCK = 1_600


class BlockSource:
    """Gives the blocks it was made of; None stands for a wait without sound, an error is raised."""

    name = "a microphone of blocks"

    def __init__(self, blocks: Iterable[object], rate: int = RATE) -> None:
        self.rate = rate
        self.lost = 0
        self._left = list(blocks)

    def take(self, wait_s: float) -> bytes | None:
        next_one = self._left.pop(0) if self._left else None
        if isinstance(next_one, Exception):
            raise next_one
        assert next_one is None or isinstance(next_one, bytes)
        return next_one

    def waiting(self) -> int:
        return sum(isinstance(one, bytes) for one in self._left)


@pytest.fixture
def source_of() -> Callable[..., BlockSource]:
    return BlockSource


@pytest.fixture
def tone() -> Callable[[float], bytes]:
    """A block of 100 ms whose RMS lies `db` below full scale."""

    def block(db: float) -> bytes:
        peak = 32_768 * 10 ** (db / 20) * 2**0.5
        wave = np.sin(np.arange(BLOCK) * 2 * np.pi * 400 / RATE) * peak
        return np.clip(np.round(wave), -32_768, 32_767).astype("<i2").tobytes()

    return block
