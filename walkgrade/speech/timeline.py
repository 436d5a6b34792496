"""Cutting a long sound into stretches the recogniser likes, and putting times back.

Decides: where a long file is cut into windows, how spoken regions are packed into chunks of at
most 30 s, and how a time inside packed sound maps to the recording.
Conventions: positions are whole samples at 16 kHz, half-open; regions are in order and do not
overlap. Pure: no sound is touched here.
Public: `Region`, `window_cut`, `pack`, `PackedTime`, `to_ms`.
"""

from __future__ import annotations

import bisect
import itertools
from collections.abc import Sequence
from dataclasses import dataclass

RATE = 16_000


@dataclass(frozen=True, slots=True, order=True)
class Region:
    """Samples ``[start, end)`` in which someone speaks."""

    start: int
    end: int

    @property
    def length(self) -> int:
        """Number of samples."""
        return self.end - self.start


def to_ms(samples: float) -> int:
    """Whole milliseconds of a position in samples (the one place where times are rounded)."""
    return round(samples * 1000 / RATE)


def window_cut(regions: Sequence[Region], length: int, earliest: int) -> int:
    """Where to end a window of `length` samples: the middle of the longest pause after `earliest`.

    Of pauses equally long the last wins. When someone speaks from `earliest` to the end without a
    pause, the cut is at `length`.
    """
    pauses: list[tuple[int, int]] = []
    edges = [Region(0, 0), *regions, Region(length, length)]
    for before, after in itertools.pairwise(edges):
        start, end = max(before.end, earliest), after.start
        if end > start:
            pauses.append((end - start, (start + end) // 2))
    return max(pauses)[1] if pauses else length


def pack(regions: Sequence[Region], longest: int) -> tuple[tuple[Region, ...], ...]:
    """Group regions, in order, so that each group holds at most `longest` samples of speech.

    A region longer than `longest` is split. Fewer groups mean fewer passes of the encoder, whose
    cost does not depend on how full a group is.
    """
    groups: list[tuple[Region, ...]] = []
    group: list[Region] = []
    filled = 0
    for region in _split(regions, longest):
        if group and filled + region.length > longest:
            groups.append(tuple(group))
            group, filled = [], 0
        group.append(region)
        filled += region.length
    if group:
        groups.append(tuple(group))
    return tuple(groups)


def _split(regions: Sequence[Region], longest: int) -> list[Region]:
    return [
        Region(start, min(start + longest, region.end))
        for region in regions
        for start in range(region.start, region.end, longest)
    ]


class PackedTime:
    """Maps seconds inside one packed group to samples of the sound it was cut from."""

    def __init__(self, group: Sequence[Region]) -> None:
        self._group = tuple(group)
        self._ends: list[int] = []
        total = 0
        for region in self._group:
            total += region.length
            self._ends.append(total)

    def restore(self, start: float, end: float) -> tuple[float, float]:
        """Samples of a word given its seconds in packed sound.

        The word belongs to the region that holds its middle and is clamped to it, so no word
        stretches over a pause that was cut out.
        """
        middle = round((start + end) / 2 * RATE, 3)  # no stray last bit may pick a neighbour
        index = min(bisect.bisect_right(self._ends, middle), len(self._ends) - 1)
        region = self._group[index]
        shift = region.start - (self._ends[index] - region.length)

        def clamp(seconds: float) -> float:
            return min(max(seconds * RATE + shift, region.start), region.end)

        return clamp(start), clamp(end)
