"""What an item may be told, and how directly."""

from __future__ import annotations

import numpy as np
import pytest
from mini_lists import limit, listed, need, part

from walkgrade.language.words import stem
from walkgrade.matching.scene import Scene, Zone

TANK = listed(
    part(
        "right.tank",
        need("right.tank.secure", "secure"),
        need("right.tank.cap", "closed", "secure", about=("cap", "filler cap")),
        need("right.tank.leak", "no_leak"),
        need("right.tank.level", limit=limit("above", "1/8", "1", unit="fraction")),
    ),
    part("right.lift", need("right.lift.extends", "extends"), section="bus"),
    part("rear.lift", need("rear.lift.extends", "extends"), section="bus"),
    part("rear.door", need("rear.door.secure", "secure"), section="bus"),
)
SCENE = Scene(TANK)


@pytest.mark.parametrize(
    ("concept", "about", "heard"),
    [
        ("secure", (), {"right.tank.secure": 1.0}),
        ("secure", ("cap",), {"right.tank.cap": 1.0}),
        ("closed", ("cap",), {"right.tank.cap": 1.0}),
        ("closed", (), {"right.tank.cap": 0.8}),
        ("closed", ("hose",), {"right.tank.cap": 0.6}),
        ("no_leak", ("cap",), {"right.tank.leak": 1.0}),
        ("amber", (), {}),
    ],
)
def test_hears(concept: str, about: tuple[str, ...], heard: dict[str, float]) -> None:
    stems = frozenset(stem(word) for word in about)
    found = SCENE.hears("right.tank", concept, stems)
    assert {requirement.id: fit for requirement, fit in found} == heard


def test_limits_are_those_a_number_can_meet() -> None:
    assert [r.id for r in SCENE.limits("right.tank")] == ["right.tank.level"]
    assert SCENE.limits("rear.door") == ()


def test_zones_are_sections_at_places_in_walking_order() -> None:
    assert SCENE.zones == (
        Zone(section="walk", place="right"),
        Zone(section="bus", place="right"),
        Zone(section="bus", place="rear"),
    )
    assert SCENE.zone_of["rear.door"] == 2


def chances(*values: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array(values)


def test_a_rare_condition_tells_the_part_where_the_trainee_stands() -> None:
    assert SCENE.rare("extends", chances(0.1, 0.1, 0.8))[0] == ["rear.lift"]
    items, sure = SCENE.rare("extends", chances(0.1, 0.8, 0.1))
    assert items == ["right.lift"]
    assert 0.6 <= sure <= 0.9


@pytest.mark.parametrize(
    ("concept", "chance"),
    [("secure", (0.1, 0.1, 0.8)), ("extends", (1.0, 0.0, 0.01)), ("amber", (0.1, 0.1, 0.8))],
    ids=["many-ask-for-it", "nobody-near", "nobody-asks"],
)
def test_what_tells_no_part(concept: str, chance: tuple[float, ...]) -> None:
    assert SCENE.rare(concept, chances(*chance)) == ([], 0.0)
