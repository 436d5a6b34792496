"""Which lines of a talk are put to the item reader, and in what order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from spoken_lines import reading, yard_bus

from walkgrade.language.item_reader import ItemQuestion
from walkgrade.language.records import Opinion, Voice
from walkgrade.matching.excerpts import TELLING, Excerpts
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.scene import Scene
from walkgrade.matching.zones import Walk

ITEM, TWIN, OTHER = (
    "front-axle.brake-chamber",
    "rear-axle.brake-chamber",
    "front-axle.brake-hoses",
)
LEAK, TWIN_LEAK, OTHER_LEAK = f"{ITEM}.leak", f"{TWIN}.leak", f"{OTHER}.leak"
IDLE = "Nice weather."
FRONT, REAR, SEAT = "front-axle", "rear-axle", "cab"


def told(row: int, chance: float = 0.9, target: str = LEAK, **more: object) -> Opinion:
    """An opinion that an answer was heard; `more` changes what it is."""
    given = {"kind": "told", "targets": (target,), "told": chance, **more}
    return Opinion(row=row, **given)  # type: ignore[arg-type]


def excerpts(
    lines: list[str], opinions: list[Opinion], places: list[str] | None = None
) -> Excerpts:
    """Excerpts of lines heard so, by a trainee who is surely at `places` (default: the front)."""
    scene = Scene(yard_bus())
    read = replace(reading(*lines), opinions=tuple(opinions))
    assert len(read.utterances) == len(lines)
    at = [zone.place for zone in scene.zones]
    path = np.array([at.index(place) for place in places or [FRONT] * len(lines)])
    near = np.array([[float(place == at[zone]) for place in at] for zone in path])
    return Excerpts(read, scene, Walk(near, near, path), Opinions(read))


def question(
    opinions: list[Opinion],
    lines: list[str] | None = None,
    places: list[str] | None = None,
    item: str = ITEM,
) -> ItemQuestion | None:
    found = excerpts(lines or [IDLE] * 12, opinions, places)
    return found.question(Scene(yard_bus()).items[item])


def rows(*given: object, **named: object) -> tuple[int, ...]:
    found = question(*given, **named)  # type: ignore[arg-type]
    assert found is not None
    return found.rows


# What is heard of row 5, by a trainee at the front, and whether the item is asked about.
HEARD = {
    "nothing": ([], False),
    "told": ([told(5)], True),
    "hardly told": ([told(5, TELLING - 0.001)], False),
    "told just so": ([told(5, TELLING)], True),
    "told against": ([told(5, 0.0, against=0.02)], True),
    "hardly told against": ([told(5, 0.0, against=0.009)], False),
    "another requirement of it": ([told(5, 0.02, f"{ITEM}.secure")], True),
    "an optional one": ([told(5, 0.02, f"{ITEM}.clamp")], True),
    "named": ([told(5, 0.013, ITEM, kind="named")], True),
    "hardly named": ([told(5, 0.012, ITEM, kind="named")], False),
    "as before": ([told(5, 0.02, ITEM, kind="same")], True),
    "hardly as before": ([told(5, 0.009, ITEM, kind="same")], False),
    "another item": ([told(5, 0.9, OTHER_LEAK)], False),
    "another item named": ([told(5, 0.9, OTHER, kind="named")], False),
    "its place": ([told(5, 0.9, FRONT, kind="place")], False),
    "asked alike of both axles": ([told(5, 0.02, targets=(LEAK, TWIN_LEAK))], True),
}


@pytest.mark.parametrize(("opinions", "asked"), HEARD.values(), ids=list(HEARD))
def test_an_item_is_asked_about_where_something_is_heard_of_it(
    opinions: list[Opinion], *, asked: bool
) -> None:
    found = question(opinions)
    assert (found is not None) is asked
    if found is not None:
        assert (found.rows[0], found.telling) == (5, frozenset((5,)))


@pytest.mark.parametrize(("chance", "asked"), [(0.02, False), (0.9, True)])
def test_only_a_sure_answer_counts_where_another_place_was_meant(
    chance: float, *, asked: bool
) -> None:
    """Said of both axles alike while at the rear: none of it is the front's share."""
    alike = told(5, chance, targets=(LEAK, TWIN_LEAK))
    assert (question([alike], places=[REAR] * 12) is not None) is asked
    assert question([alike], places=[REAR] * 12, item=TWIN) is not None


def test_the_question_is_the_items() -> None:
    found = question([told(5)])
    chamber = Scene(yard_bus()).items[ITEM]
    assert found is not None
    assert (found.title, found.names, found.place) == (chamber.title, chamber.names, "Front axle")
    assert found.says == tuple(one.says for one in chamber.requirements)


def test_places_are_titles_along_the_walk() -> None:
    found = excerpts([IDLE] * 3, [], [FRONT, REAR, SEAT])
    assert found.places == ["Front axle", "Rear axle", "Driver's seat"]


# Opinions on a talk of twelve idle lines, and the order its lines are put in.
ORDERS = {
    "its neighbours, nearest first": ([told(5)], (5, 4, 6, 3, 7, 2, 8)),
    "at the beginning": ([told(0)], (0, 1, 2, 3)),
    "near the beginning": ([told(1)], (1, 0, 2, 3, 4)),
    "at the end": ([told(11)], (11, 10, 9, 8)),
    "near the end": ([told(10)], (10, 9, 11, 8, 7)),
    "surest first": ([told(2, 0.5), told(8, 0.9)], (8, 2, 7, 9, 1, 3, 6, 10, 0, 4, 5, 11)),
    "earlier first of equals": ([told(8), told(2)], (2, 8, 1, 3, 7, 9, 0, 4, 6, 10, 5, 11)),
    "a line twice heard": ([told(5, 0.2), told(5, 0.9)], (5, 4, 6, 3, 7, 2, 8)),
    "a name counts less": (
        [told(2, 0.9, ITEM, kind="named"), told(8, 0.8)],
        (8, 2, 7, 9, 1, 3, 6, 10, 0, 4, 5, 11),
    ),
    "a hint, after what stands around": ([told(5), told(11, 0.005)], (5, 4, 6, 3, 7, 11, 2, 8)),
    "less than a hint": ([told(5), told(11, 0.002)], (5, 4, 6, 3, 7, 2, 8)),
}


@pytest.mark.parametrize(("opinions", "wanted"), ORDERS.values(), ids=list(ORDERS))
def test_the_telling_line_comes_first_and_its_neighbours_follow(
    opinions: list[Opinion], wanted: tuple[int, ...]
) -> None:
    assert rows(opinions) == wanted


def test_hints_are_not_marked_as_telling() -> None:
    found = question([told(5), told(8, 0.4), told(11, 0.005)])
    assert found is not None
    assert found.telling == {5, 8}


def test_a_line_alone_is_read_alone() -> None:
    assert rows([told(0)], [IDLE]) == (0,)


def test_many_telling_lines_all_go_in_before_the_others() -> None:
    """Six come first; the rest of them after the neighbours, but all are marked."""
    found = question([told(row, 0.9 - row / 100) for row in range(0, 30, 3)], [IDLE] * 30)
    assert found is not None
    assert found.rows[:6] == (0, 3, 6, 9, 12, 15)
    assert found.telling == set(range(0, 30, 3)) <= set(found.rows)


# Lines 8 and 11 of a talk with one telling line (row 2), where they are said, and which of them
# are put, in their order. The item is the brake chamber of the front axle, "no air leak".
SHARING = {
    "at its place before elsewhere": (["Chamber again."] * 2, (REAR, FRONT), (11, 8)),
    "both at its place": (["Chamber again."] * 2, (FRONT, FRONT), (8, 11)),
    "more words first": (["Chamber again.", "Brake chamber again."], (REAR, REAR), (11, 8)),
    "by their stems": (["Chambered again.", IDLE], (FRONT, FRONT), (8,)),
    "a word of a statement": (["Leaking again.", IDLE], (FRONT, FRONT), (8,)),
    "one that is said elsewhere": (["Leaking again.", IDLE], (REAR, REAR), ()),
    "no word": (["And the one by it.", IDLE], (FRONT, FRONT), ()),
    "another voice": (["examiner: Chamber again.", "Chamber again."], (FRONT, FRONT), (11,)),
    "another voice only": (["examiner: Chamber again.", IDLE], (FRONT, FRONT), ()),
}


@pytest.mark.parametrize(("pair", "places", "wanted"), SHARING.values(), ids=list(SHARING))
def test_lines_that_share_words_come_in(
    pair: list[str], places: tuple[str, str], wanted: tuple[int, ...]
) -> None:
    lines, at = [IDLE] * 14, [SEAT] * 14
    for row, line, place in zip((8, 11), pair, places, strict=True):
        lines[row], at[row] = line, place
    found = rows([told(2)], lines, at)
    assert tuple(row for row in found if row > 5) == wanted


def test_another_voice_may_stand_around() -> None:
    lines = [IDLE] * 5 + ["examiner: The chamber leaks, you say."] + [IDLE] * 4
    assert rows([told(4)], lines)[:3] == (4, 3, 5)
    assert reading(*lines).utterances[5].voice == Voice.OTHER


# What is told elsewhere at row 10, and whether it comes right after the telling line (row 2).
TWINS = {
    "the other axle's": (told(10, 0.9, TWIN_LEAK), ITEM, True),
    "another statement of it": (told(10, 0.9, f"{TWIN}.secure"), ITEM, True),
    "hardly told": (told(10, 0.29, TWIN_LEAK), ITEM, False),
    "named only": (told(10, 0.9, TWIN, kind="named"), ITEM, False),
    "not its twin": (told(10, 0.9, "rear-axle.brake-hoses.leak"), ITEM, False),
    "an item without twins": (told(10, 0.9, TWIN_LEAK), "engine.coolant", False),
}


@pytest.mark.parametrize(("opinion", "item", "wanted"), TWINS.values(), ids=list(TWINS))
def test_what_was_told_of_its_twin_is_put_too(opinion: Opinion, item: str, *, wanted: bool) -> None:
    chosen = Scene(yard_bus()).items[item]
    assert bool(chosen.carry_over) is (item == ITEM)
    found = question([told(2, 0.9, chosen.requirements[0].id), opinion], item=item)
    assert found is not None
    assert (found.rows[1] == 10) is wanted
    assert (10 in found.rows) is wanted
    assert found.telling == {2}


def test_the_twins_surest_two_lines_are_put() -> None:
    twins = [told(row, 0.9 - row / 100, TWIN_LEAK) for row in (11, 9, 7)]
    assert rows([told(2), *twins])[:4] == (2, 7, 9, 1)
