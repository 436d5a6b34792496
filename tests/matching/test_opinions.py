"""Answers shared out among the places that ask the same."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from spoken_lines import reading, yard_bus

from walkgrade.language.records import Opinion
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.scene import Scene

FRONT, REAR = "front-axle.brake-hoses.leak", "rear-axle.brake-hoses.leak"
LINE = "Brake hoses, both axles, no leaks."


def shares(front: float, rear: float, walked: str = "front-axle") -> tuple[float, float]:
    """Shares of the front's and the rear's hoses when the reader hears the places so surely, and
    the walk is wholly at one of them."""
    scene = Scene(yard_bus())
    told = Opinion(row=0, kind="told", targets=(FRONT, REAR), told=0.9)
    heard = [
        Opinion(row=0, kind="place", targets=(place,), told=chance)
        for place, chance in (("front-axle", front), ("rear-axle", rear))
    ]
    opinions = Opinions(replace(reading(LINE), opinions=(told, *heard)))
    near = np.array([[float(zone.place == walked) for zone in scene.zones]])
    first, second = (opinions.of_requirement(r, scene, near)[0].share for r in (FRONT, REAR))
    return first, second


@pytest.mark.parametrize(
    ("front", "rear", "want"),
    [
        (0.98, 0.02, (1.0, 0.0)),  # one place: where the walk is
        (0.5, 0.5, (1.0, 0.0)),  # no two places, only doubt which
        (0.95, 0.95, (1.0, 0.95)),  # "both axles"
        (0.0, 0.0, (1.0, 0.0)),  # no opinion on places
    ],
)
def test_places_spoken_of_together_keep_their_own_share(
    front: float, rear: float, want: tuple[float, float]
) -> None:
    assert shares(front, rear) == pytest.approx(want)


def test_swapping_the_places_swaps_the_shares() -> None:
    assert shares(0.95, 0.8) == shares(0.8, 0.95, walked="rear-axle")[::-1]
