"""Which of several like parts is meant: words of place, the walk, what stands beside it."""

import pytest
from attachment_rows import PLACED
from spoken_lines import heard, named
from spoken_rows import Row, check, table


@pytest.mark.parametrize("one", table(PLACED))
def test_place(one: Row) -> None:
    check(one)


@pytest.mark.parametrize(
    ("line", "item"),
    [
        ("At the front of the bus, the turn signals.", "front.turn-signals"),
        ("On the left side, the turn signals.", "left-side.turn-signals"),
        ("On the right side, the turn signals.", "right-side.turn-signals"),
        ("At the back of the bus, the turn signals.", "rear.turn-signals"),
    ],
)
def test_one_name_four_places(line: str, item: str) -> None:
    assert named(heard(line)) == {item}
