"""Parts presented after their conditions."""

import pytest
from attachment_rows import ANNOUNCED
from spoken_lines import reading
from spoken_rows import Row, check, table

from walkgrade.matching.announce import announced


@pytest.mark.parametrize("one", table(ANNOUNCED))
def test_part_last(one: Row) -> None:
    check(one)


@pytest.mark.parametrize(
    "lines",
    [
        (),
        ("Dry, bolted tight.",),
        ("Steering box, not leaking.", "That's the drag link."),
        ("Dry, bolted tight.", "That's the steering box, no cracks."),
    ],
    ids=["nothing-said", "nothing-follows", "has-its-own-part", "part-has-its-own-condition"],
)
def test_nothing_is_presented(lines: tuple[str, ...]) -> None:
    spoken = reading(*lines).utterances
    assert announced(spoken) == [None] * len(spoken)


def test_the_next_utterance_presents() -> None:
    first, second = reading("Dry, bolted tight.", "That's the steering box.").utterances
    assert announced([first, second]) == [second, None]
