"""The walk: the decoded path and probabilities against brute force, and what moves the walk.

Outside check: on tiny cases every path is listed and scored one by one; the best score and the
summed probabilities must be those of the dynamic programmes (definitions as in Rabiner, "A tutorial
on hidden Markov models", Proc. IEEE 77 (1989), section III; from memory).
"""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from mini_lists import listed, need, part
from numpy.typing import NDArray
from spoken_lines import reading, yard_bus

from walkgrade.matching.scene import Scene
from walkgrade.matching.zones import _best_path, _posterior, walk

Table = NDArray[np.float64]
_START = 0.15  # log weight by which each later zone is less likely to be the first
scores = st.floats(min_value=-8, max_value=8, allow_nan=False)


@st.composite
def tiny(draw: st.DrawFn) -> tuple[Table, list[Table]]:
    """Up to five utterances and three zones with any evidence and any moves."""
    steps, zones = draw(st.integers(1, 5)), draw(st.integers(1, 3))
    seen = draw(arrays(np.float64, (steps, zones), elements=scores))
    moves = [draw(arrays(np.float64, (zones, zones), elements=scores)) for _ in range(steps)]
    return seen, moves


def brute(seen: Table, moves: list[Table]) -> dict[tuple[int, ...], float]:
    """Log score of every path."""
    steps, zones = seen.shape
    scored = {}
    for path in product(range(zones), repeat=steps):
        score = seen[0, path[0]] - _START * path[0]
        for t in range(1, steps):
            score += moves[t][path[t - 1], path[t]] + seen[t, path[t]]
        scored[path] = float(score)
    return scored


@settings(deadline=None, max_examples=150)
@given(tiny())
def test_path_is_as_good_as_the_best_of_all_paths(case: tuple[Table, list[Table]]) -> None:
    scored = brute(*case)
    found = tuple(int(zone) for zone in _best_path(*case))
    assert scored[found] == pytest.approx(max(scored.values()), abs=1e-9)


@settings(deadline=None, max_examples=150)
@given(tiny())
def test_chances_are_the_shares_of_all_paths(case: tuple[Table, list[Table]]) -> None:
    seen, _ = case
    scored = brute(*case)
    top = max(scored.values())
    weight = {path: np.exp(score - top) for path, score in scored.items()}
    whole = sum(weight.values())
    want = np.zeros(seen.shape)
    for path, share in weight.items():
        for t, zone in enumerate(path):
            want[t, zone] += share / whole
    np.testing.assert_allclose(_posterior(*case), want, atol=1e-9)


def test_walk_of_a_whole_talk_sums_to_one_everywhere() -> None:
    talk = reading(
        "Engine compartment. No puddles on the ground.",
        "Down at the front axle. Brake drum, no cracks.",
        "examiner: Go on.",
        "Now the rear axle. Brake drum, no cracks.",
    )
    found = walk(talk, Scene(yard_bus()))
    np.testing.assert_allclose(found.chance.sum(axis=1), 1.0)
    assert found.chance.min() >= 0.0
    assert (found.near >= found.chance - 1e-12).all()
    assert found.near.max() <= 1.0 + 1e-9


def places(*lines: str) -> list[str]:
    scene = Scene(yard_bus())
    return [scene.zones[int(zone)].place for zone in walk(reading(*lines), scene).path]


@pytest.mark.parametrize(
    ("lines", "path"),
    [
        (("Front axle.", "Rear axle."), ["front-axle", "rear-axle"]),
        (("In the cab, the horn works.",), ["cab"]),
        (("Steering box.", "It's tight.", "Let me see."), ["front-axle"] * 3),
        (("Alternator.", "Water pump.", "Horn.", "Wipers."), ["engine", "engine", "cab", "cab"]),
        (
            ("On the left side, the stop arm.", "At the back of the bus, the emergency door."),
            ["left-side", "rear"],
        ),
    ],
)
def test_path_follows_cues_and_parts(lines: tuple[str, ...], path: list[str]) -> None:
    assert places(*lines) == path


def test_talk_of_another_vehicle_moves_nobody() -> None:
    lines = ("Steering box.", "On my old bus the emergency door was stuck.", "Drag link.")
    assert places(*lines) == ["front-axle"] * 3


def test_nothing_said_gives_an_empty_walk() -> None:
    assert walk(reading(), Scene(yard_bus())).path.shape == (0,)


def test_one_zone_is_certain() -> None:
    only = listed(part("front.lamp", need("front.lamp.works", "works")))
    found = walk(reading("The lamp works.", checklist=only), Scene(only))
    np.testing.assert_allclose(found.chance, [[1.0]])
