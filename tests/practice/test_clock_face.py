"""The line shown while recording."""

from __future__ import annotations

import pytest

from walkgrade.practice.clock_face import advice, face
from walkgrade.practice.levels import Level
from walkgrade.practice.recorder import Moment

BUDGET = 30 * 60_000


def moment(ms: int = 0, behind: float = 0.0, **level: object) -> Moment:
    return Moment(elapsed_ms=ms, level=Level(**{"db": -30.0, **level}), behind_s=behind)


@pytest.mark.parametrize(
    ("ms", "start"),
    [
        (0, "rec 0:00 | 30:00 left | level ["),
        (192_400, "rec 3:12 | 26:48 left | "),
        (1_799_999, "rec 29:59 | 0:01 left | "),
        (1_800_000, "rec 30:00 | 0:00 over time | "),
        (3_700_000, "rec 1:01:40 | 31:40 over time | "),
    ],
)
def test_both_clocks_add_up(ms: int, start: str) -> None:
    assert face(moment(ms), BUDGET).startswith(start)


@pytest.mark.parametrize(("db", "cells"), [(-120, 0), (-60, 0), (-30, 5), (-6, 9), (0, 10)])
def test_the_bar_follows_the_level(db: float, cells: int) -> None:
    assert face(moment(db=float(db)), BUDGET).count("#") == cells


@pytest.mark.parametrize(
    ("level", "behind", "word"),
    [
        ({}, 0.0, ""),
        ({"silent": True}, 0.0, "NO SOUND"),
        ({"clipping": True}, 0.0, "TOO LOUD"),
        ({"quiet": True}, 0.0, "very quiet"),
        ({}, 3.2, "SLOW DISK: 3 s"),
        ({"silent": True}, 3.2, "NO SOUND"),
    ],
)
def test_advice(level: dict[str, bool], behind: float, word: str) -> None:
    said = advice(moment(behind=behind, **level))
    assert said.startswith(word)
    assert bool(said) == bool(word)


def test_the_line_fits_the_terminal() -> None:
    assert len(face(moment(silent=True), BUDGET, 40)) == 40
