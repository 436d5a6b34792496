"""The level meter: figures by hand, and warnings that come and go."""

from __future__ import annotations

import numpy as np
import pytest

from walkgrade.practice.levels import Level, Meter

RATE = 16_000


def run(blocks: list[bytes]) -> Level:
    meter = Meter(RATE)
    level = Level()
    for block in blocks:
        level = meter.add(block)
    return level


@pytest.mark.parametrize("db", [-50.0, -20.0, -6.0])
def test_the_level_is_the_rms(tone, db: float) -> None:
    assert run([tone(db)]).db == pytest.approx(db, abs=0.1)


def test_nothing_and_full_scale() -> None:
    assert run([bytes(3_200)]).db == -120.0
    assert run([b""]).db == -120.0
    square = np.where(np.arange(1_600) % 2, 32_767, -32_768).astype("<i2").tobytes()
    assert run([square]).db == pytest.approx(0.0, abs=0.01)


@pytest.mark.parametrize(
    ("before", "db", "blocks", "silent", "quiet"),
    [
        (-20, -90, 49, False, False),
        (-20, -90, 50, True, False),
        (-20, -50, 50, False, True),
        (-20, -30, 50, False, False),
        (-90, -90, 30, False, False),
    ],
)
def test_silence_is_told_after_five_seconds(
    tone, before: int, db: int, blocks: int, silent: bool, quiet: bool
) -> None:
    level = run([tone(before), *[tone(db)] * blocks])
    assert (level.silent, level.quiet) == (silent, quiet)


def test_one_word_ends_the_warning(tone) -> None:
    assert not run([*[bytes(3_200)] * 80, tone(-25)]).silent


@pytest.mark.parametrize(("after", "held"), [(0, True), (19, True), (20, False)])
def test_clipping_is_shown_for_two_seconds(tone, after: int, held: bool) -> None:
    assert run([tone(0), *[tone(-20)] * after]).clipping is held


def test_a_loud_but_whole_voice_does_not_clip(tone) -> None:
    assert not run([tone(-4)]).clipping
