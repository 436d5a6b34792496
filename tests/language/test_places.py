# ruff: noqa: E501 - one row a line, so that the table can be read down
"""Words that say where the trainee is."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from language_lines import checklist, item, tokens_of

from walkgrade.checklists.records import Place
from walkgrade.language.patterns import WordIndex
from walkgrade.language.places import PlaceIndex
from walkgrade.language.records import PlaceMention, Utterance

Said = Callable[[str], Utterance]
YARD = checklist(
    item("front-axle.hub", "hub", place="front-axle"),
    item("rear-axle.hub", "hub", place="rear-axle"),
    item("left-side.lamp", "lamp", place="left-side"),
    places=(
        Place(id="front-axle", title="Front axle", cues=("steer axle", "up front")),
        Place(id="rear-axle", title="Rear axle", cues=("drive axle", "behind")),
        Place(id="left-side", title="Left side", cues=("up front", "street side")),
    ),
)


def found(text: str, score: float = 1.0) -> list[tuple[str, tuple[str, ...], float]]:
    tokens = tokens_of(text)
    forms = [{token.stem: score, f"={token.norm}": score} for token in tokens]
    mentions = PlaceIndex(YARD).find(WordIndex(forms))
    return [
        (" ".join(t.norm for t in tokens[m.first : m.last]), m.places, m.strength) for m in mentions
    ]


@pytest.mark.parametrize(
    ("text", "cues"),
    [
        ("now I go behind", [("behind", ("rear-axle",), 1.0)]),
        ("the rear one", [("rear", ("rear-axle",), 0.7)]),
        ("on the left side", [("left side", ("left-side",), 0.7)]),
        ("on the left", []),  # a direction alone says too little
        ("the left hand side", [("left hand side", ("left-side",), 0.7)]),
        ("the right side", []),  # this list has no such place
        # a cue of two places names both; a direction inside it is found too
        ("up front", [("up front", ("front-axle", "left-side"), 1.0), ("front", ("front-axle",), 0.7)]),
        # cue and direction of the same words are merged, at the lesser strength
        ("the drive axle", [("drive axle", ("rear-axle",), 0.7)]),
        ("the street side", [("street side", ("left-side",), 0.7)]),
        ("front to rear", [("front", ("front-axle",), 0.7), ("rear", ("rear-axle",), 0.7)]),
        ("nothing here", []),
    ],
)  # fmt: skip
def test_cues(text: str, cues: list[tuple[str, tuple[str, ...], float]]) -> None:
    assert found(text) == cues


def test_a_misheard_cue_is_no_cue() -> None:
    assert found("now behind", score=0.89) == []
    assert found("now behind", score=0.9) != []


def of_place(utterance: Utterance, place: str) -> list[PlaceMention]:
    return [m for m in utterance.places if place in m.places]


@pytest.mark.parametrize(
    ("text", "place", "strong"),
    [
        ("Now I am at the rear axle.", "rear-axle", True),
        ("Under the hood everything is closed.", "engine", True),
        ("Same as on the front axle.", "front-axle", False),
        ("The springs are like the front axle.", "front-axle", False),
        ("It matches the front axle.", "front-axle", False),
        ("On the rear axle, same as I said on the front axle.", "front-axle", False),
        ("On the rear axle, same as I said on the front axle.", "rear-axle", True),
    ],
)
def test_a_place_compared_with_hardly_says_where_one_is(
    said: Said, text: str, place: str, strong: bool
) -> None:
    mentions = of_place(said(text), place)
    assert mentions
    assert (max(m.strength for m in mentions) >= 0.7) is strong


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("In the cab now.", "cab"),
        ("On the passenger side.", "right-side"),
        ("Driver's side next.", "left-side"),
        ("Underneath the bus.", "under"),
        ("At the back of the bus.", "rear"),
        ("Walking down the aisle.", "passenger"),
        ("Up the steps.", "entrance"),
        ("At the drive axle.", "rear-axle"),
    ],
)
def test_the_shipped_list_knows_the_usual_cues(said: Said, text: str, place: str) -> None:
    assert of_place(said(text), place)


def test_an_idle_sentence_is_nowhere(said: Said) -> None:
    assert said("My name is Marcus and I slept well.").places == ()
