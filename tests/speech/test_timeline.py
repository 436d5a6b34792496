"""Cutting, packing and putting times back, on many random layouts."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.speech.timeline import RATE, PackedTime, Region, pack, to_ms, window_cut


@st.composite
def layouts(draw: st.DrawFn) -> tuple[tuple[Region, ...], int]:
    """Regions in order, and the length of the sound around them."""
    gaps = draw(st.lists(st.tuples(st.integers(0, 90_000), st.integers(1, 900_000)), max_size=12))
    regions, at = [], 0
    for pause, length in gaps:
        regions.append(Region(at + pause, at + pause + length))
        at = regions[-1].end
    return tuple(regions), at + draw(st.integers(0, 90_000))


@given(layouts(), st.integers(1_000, 500_000))
def test_packing_keeps_every_sample_once_and_in_order(
    layout: tuple[tuple[Region, ...], int], longest: int
) -> None:
    regions, _ = layout
    groups = pack(regions, longest)
    flat = [region for group in groups for region in group]
    assert all(sum(region.length for region in group) <= longest for group in groups)
    assert all(a.end <= b.start for a, b in itertools.pairwise(flat))
    assert all(region.length > 0 for region in flat)
    joined: list[Region] = []
    for region in flat:
        if joined and joined[-1].end == region.start:
            joined[-1] = Region(joined[-1].start, region.end)
        else:
            joined.append(region)
    wanted: list[Region] = []
    for region in regions:
        if wanted and wanted[-1].end == region.start:
            wanted[-1] = Region(wanted[-1].start, region.end)
        else:
            wanted.append(region)
    assert joined == wanted


@given(layouts(), st.integers(10_000, 500_000), st.data())
def test_times_come_back_exactly(
    layout: tuple[tuple[Region, ...], int], longest: int, data: st.DataObject
) -> None:
    for group in pack(layout[0], longest):
        clock = PackedTime(group)
        before = 0
        for region in group:
            at = data.draw(st.integers(0, region.length - 1))
            seconds = (before + at) / RATE
            start, end = clock.restore(seconds, seconds)
            assert start == pytest.approx(region.start + at, abs=1e-3)
            assert end == start
            before += region.length


@given(layouts(), st.floats(-5, 60), st.floats(0, 5))
def test_a_word_stays_inside_the_region_of_its_middle(
    layout: tuple[tuple[Region, ...], int], start: float, length: float
) -> None:
    for group in pack(layout[0], 30 * RATE):
        first, last = PackedTime(group).restore(start, start + length)
        assert first <= last
        assert any(region.start <= first <= last <= region.end for region in group)


def test_a_word_across_a_removed_pause_does_not_stretch_over_it() -> None:
    clock = PackedTime((Region(0, RATE), Region(10 * RATE, 11 * RATE)))
    assert clock.restore(0.8, 1.1) == (0.8 * RATE, RATE)
    assert clock.restore(0.9, 1.3) == (10 * RATE, pytest.approx(10.3 * RATE))


@given(layouts(), st.integers(1, 1_000_000))
def test_a_window_is_cut_in_a_pause_if_there_is_one(
    layout: tuple[tuple[Region, ...], int], earliest: int
) -> None:
    regions, length = layout
    cut = window_cut(regions, length, min(earliest, max(length, 1)))
    assert 0 <= cut <= length
    assert cut >= min(earliest, length)
    edges = [0, *itertools.chain.from_iterable((r.start, r.end) for r in regions), length]
    pauses = [b - max(a, earliest) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    if max(pauses) > 0:
        assert not any(r.start < cut < r.end for r in regions)
    else:
        assert cut == length


@pytest.mark.parametrize(
    ("regions", "length", "earliest", "cut"),
    [
        ([], 100, 50, 75),
        ([Region(0, 60), Region(80, 100)], 100, 50, 70),
        ([Region(0, 60), Region(70, 80), Region(90, 100)], 100, 50, 85),
        ([Region(0, 100)], 100, 50, 100),
        ([Region(10, 60)], 100, 50, 80),
        ([Region(20, 100)], 100, 50, 100),
    ],
)
def test_cut_table(regions: list[Region], length: int, earliest: int, cut: int) -> None:
    assert window_cut(regions, length, earliest) == cut


@pytest.mark.parametrize(
    ("samples", "ms"), [(0, 0), (16, 1), (7, 0), (9, 1), (24, 2), (16_000 * 3600, 3_600_000)]
)
def test_to_ms(samples: int, ms: int) -> None:
    assert to_ms(samples) == ms
