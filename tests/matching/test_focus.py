"""What "it", "they", "these", "both" and "neither" mean."""

import pytest
from attachment_rows import PRONOUNS
from spoken_lines import finding, heard
from spoken_rows import Row, check, table

from walkgrade.matching.focus import Focus


@pytest.mark.parametrize("one", table(PRONOUNS))
def test_pronoun(one: Row) -> None:
    check(one)


def test_reason_says_what_the_pronoun_meant() -> None:
    box = finding(heard("Steering box.", "It's not leaking."), "front-axle.steering-box")
    (leak,) = [r for r in box.requirements if r.requirement.endswith(".leak")]
    assert "named before" in leak.reason
    assert "Steering box" in leak.reason


def test_bare_names_pile_up_until_something_is_told() -> None:
    focus = Focus()
    focus.name([("a",)], told=False, continues=False)
    focus.name([("b",), ("c",)], told=False, continues=True)
    assert focus.bare == ["a", "b", "c"]
    assert focus.group == ("c",)
    focus.spoken_of()
    assert focus.bare == []
    assert focus.told


def test_history_names_each_part_once_newest_last() -> None:
    focus = Focus()
    for part in ("a", "b", "a"):
        focus.name([(part,)], told=True, continues=False)
    assert focus.history == ["b", "a"]
