"""Which words name a part here, and which only mention it."""

import pytest
from spoken_lines import heard, named

ROWS = [
    (("Steering box.",), {"front-axle.steering-box"}),
    (("Pitman arm, drag link and tie rod.",), {"front-axle.steering-linkage"}),
    (
        ("Steering box, power steering hoses.",),
        {"front-axle.steering-box", "front-axle.steering-hoses"},
    ),
    # an anchor, a place, a step's wording name nothing
    (("The exhaust is clamped tight to the frame.",), {"under.exhaust"}),
    (("I get in the driver's seat.",), set()),
    (("In the cab, air brake check. I release the parking brake.",), {"air-brake.release"}),
    (("In the cab. Parking brake test.",), {"cab.parking-brake"}),
    (("Let's get going, it is a nice day.",), set()),
    # one word of "steering knuckle" is enough where the knuckle is, not elsewhere
    (
        ("Front axle. Steering box.", "Knuckle."),
        {"front-axle.steering-box", "front-axle.steering-linkage"},
    ),
    (("In the cab. The horn.", "Knuckle."), {"cab.horn"}),
]


@pytest.mark.parametrize(("lines", "items"), ROWS, ids=[" / ".join(row[0]) for row in ROWS])
def test_named(lines: tuple[str, ...], items: set[str]) -> None:
    assert named(heard(*lines)) == items


def test_a_name_heard_a_little_wrong_still_names() -> None:
    assert named(heard("The petman arm is tight.")) == {"front-axle.steering-linkage"}


def test_what_is_only_seen_in_the_mirror_is_not_named() -> None:
    lines = "On the left side, the outside mirror is tight, I can see the stop arm in it."
    assert named(heard(lines)) == {"left-side.outside-mirrors"}
