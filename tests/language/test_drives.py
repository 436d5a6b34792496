"""What is said to turn a part: one table of sentences, both ways, and what states nothing."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from language_lines import tokens_of

from walkgrade.language.drives import drive_claims
from walkgrade.language.records import Drive, Polarity, Utterance

Said = Callable[[str], Utterance]
BELT, GEAR = Drive.BELT, Drive.GEAR

ROWS: list[tuple[str, list[Drive | None]]] = [
    # a belt
    ("The air compressor runs off a belt.", [BELT]),
    ("The air compressor is belt driven.", [BELT]),
    ("Air compressor, belt-driven.", [BELT]),
    ("It is driven by the belt.", [BELT]),
    ("The compressor's on a belt.", [BELT]),
    ("It's also on the same belt.", [BELT]),
    ("It is driven off the same style of belt.", [BELT]),
    ("A belt drives the air compressor.", [BELT]),
    ("This here flat belt turns your compressor.", [BELT]),
    ("The compressor has its own belt.", [BELT]),
    ("By a belt she turns, the compressor.", []),  # not understood, and nothing is made of it
    ("It's got no leaks and it runs off a belt.", [BELT]),
    ("It don't leak it's belt driven", [BELT]),
    ("It's belt driven, no cracks in the belt.", [BELT]),
    ("I think it's belt driven.", [BELT]),
    ("The compressor isn't gear driven.", [BELT]),
    # gears, or a shaft
    ("The water pump is gear driven.", [GEAR]),
    ("The water pump runs off the gears.", [GEAR]),
    ("It's driven by a shaft.", [GEAR]),
    ("The pump is shaft driven.", [GEAR]),
    ("Gears turn it.", [GEAR]),
    ("He turn with gear, not belt.", [GEAR]),
    ("There's no belt on it.", [GEAR]),
    ("It doesn't have a belt.", [GEAR]),
    ("Compressor, there ain't no belt to it.", [GEAR]),
    # a belt denied
    ("It is not belt driven.", [GEAR]),
    ("It doesn't run off a belt.", [GEAR]),
    ("That's not on the belt.", [GEAR]),
    ("I don't think it's belt driven.", [GEAR]),
    ("None of these run off a belt.", [GEAR]),
    ("Driven by gears rather than a belt.", [GEAR]),
    ("It's gear driven, not belt driven.", [GEAR, GEAR]),
    ("It's belt driven, not gear driven.", [BELT, BELT]),
    # taken back at once
    ("It's belt driven, no, gear driven.", [None, GEAR]),
    ("It runs off a belt, no wait, it runs off gears.", [None, GEAR]),
    ("It runs off a belt, scratch that.", [None]),
    # suppositions, hearsay, choices, generalities
    ("If the compressor is belt driven I press the belt.", [None]),
    ("When it runs off a belt you check the play.", [None]),
    ("You'd think it runs off a belt but it's gear driven.", [None, GEAR]),
    ("The book says it runs off a belt.", [None]),
    ("They told me it's belt driven.", [None]),
    ("I thought it was belt driven.", [None]),
    ("I'm not sure it's belt driven.", [None]),
    ("It could be belt driven.", [None]),
    ("It's either belt driven or gear driven.", [None, None]),
    ("Some compressors run off a belt.", [None]),
    ("It runs off a belt on the older ones.", [None]),
    ("First two belt driven, last two gear driven.", []),  # of which parts takes counting
    # the belt as a part
    ("Water pump belt, no cracks.", []),
    ("No belt damage on the alternator.", []),
    ("The belt runs smooth.", []),
    ("Whatever's on the belt is good.", []),
    ("There's oil on the belt.", []),
    ("Steering gear is mounted tight.", []),
    ("The landing gear runs up and down.", []),
    ("Gear in neutral.", []),
]  # fmt: skip


@pytest.mark.parametrize(("text", "drives"), ROWS)
def test_drive_claims(text: str, drives: list[Drive | None]) -> None:
    tokens = tokens_of(text)
    claims = drive_claims([t.norm for t in tokens], [t.breaks for t in tokens])
    assert [one.drive for one in claims] == drives
    assert all(0 <= one.first < one.last <= len(tokens) for one in claims)


def test_positions_are_those_of_the_words() -> None:
    tokens = tokens_of("Well, the compressor, it's off of a belt, and tight.")
    (claim,) = drive_claims([t.norm for t in tokens], [t.breaks for t in tokens])
    assert [t.norm for t in tokens[claim.first : claim.last]] == ["it's", "off", "of", "a", "belt"]


@pytest.mark.parametrize(
    ("text", "polarity", "drive"),
    [
        ("The compressor runs off a belt.", Polarity.DEFECT, BELT),
        ("The compressor is not belt driven.", Polarity.SOUND, GEAR),
        ("Does the compressor run off a belt?", Polarity.IDLE, None),
        ("It has no play because it is belt driven.", Polarity.IDLE, None),
        ("If it is belt driven I look at the belt.", Polarity.IDLE, None),
    ],
)
def test_a_claim_becomes_a_condition(
    said: Said, text: str, polarity: Polarity, drive: Drive | None
) -> None:
    found = [c for c in said(text).conditions if c.concept == "not_belt"]
    assert [(c.polarity, c.drive) for c in found] == [(polarity, drive)]


def test_air_running_off_a_belt_is_no_leak(said: Said) -> None:
    concepts = {c.concept for c in said("The air compressor runs off a belt.").conditions}
    assert concepts == {"not_belt"}
