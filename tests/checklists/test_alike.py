"""Parts that are like others: what they take over, what they change, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from checklist_writer import write_small

from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.loader import load_checklist
from walkgrade.checklists.records import Item

STEER = """
  steer:
    like: tread
    names_add: [groove]
    requires_change: {depth: {says: deep enough}}
    requires_drop: [even]
    requires_add:
      - {id: clean, says: clean, concepts: [clean]}
"""
AT = "        place: front-axle\n"
REST = "        carry_over: [rear-axle.tread]\n"


def steered(folder: Path, steer: str = STEER, *more: tuple[str, str]) -> Path:
    """The small list, its front tread made of part `steer`."""
    first = ("      - part: tread\n" + AT + REST, "      - part: steer\n" + AT)
    back = ("        carry_over: [front-axle.tread]\n", "")
    return write_small(folder, first, back, *more, shared=(("parts:", "parts:" + steer.rstrip()),))


def front(path: Path) -> Item:
    return next(i for i in load_checklist(path).items if i.place == "front-axle")


def test_it_takes_over_what_it_leaves_out(tmp_path: Path) -> None:
    found = front(steered(tmp_path))
    assert (found.id, found.title, found.row) == ("front-axle.steer", "Tread, front axle", "W2")
    assert found.names == ("tread", "groove")
    assert [(r.id, r.says, r.required) for r in found.requirements] == [
        ("front-axle.steer.depth", "deep enough", True),
        ("front-axle.steer.clean", "clean", True),
    ]
    assert found.requirements[0].limit is not None, "a change keeps what it does not name"


def test_likeness_runs_through_several_parts(tmp_path: Path) -> None:
    chain = STEER.replace("like: tread", "like: middle") + (
        "  middle:\n    like: tread\n    why: Because.\n    names: [middle]\n"
    )
    found = front(steered(tmp_path, chain))
    assert (found.why, found.names) == ("Because.", ("middle", "groove"))


def test_an_empty_condition_takes_the_other_away(tmp_path: Path) -> None:
    fitted = STEER + "  wet:\n    like: steer\n    if_fitted: {brakes: air}\n"
    wet = fitted.replace("like: tread", "like: dry").replace("like: steer", "like: tread")
    for dry in (
        wet + "  dry:\n    like: wet\n",
        wet + "  dry:\n    like: wet\n    if_fitted: {}\n",
    ):
        found = front(steered(tmp_path, dry))
        assert bool(found.if_fitted) is not dry.endswith("{}\n")


def test_an_item_may_add_requirements(tmp_path: Path) -> None:
    item = "        optional_add:\n          - {id: wet, says: wet, concepts: [clean]}\n"
    path = steered(tmp_path, STEER, (AT, AT + item))
    assert [(r.id, r.required) for r in front(path).requirements][-1] == (
        "front-axle.steer.wet",
        False,
    )


def test_a_part_that_nothing_uses_may_name_keys_of_other_vehicles(tmp_path: Path) -> None:
    other = STEER + "  door:\n    like: tread\n    if_fitted: {doors: fitted}\n"
    assert front(steered(tmp_path, other))


BAD = {
    "like nothing": (("like: tread", "like: thread"), "parts.steer.like", "did you mean tread?"),
    "like itself": (("like: tread", "like: steer"), "parts.steer.like", "in a circle"),
    "change of nothing": (
        ("{depth:", "{deep:"), "parts.steer.requires_change", "no requirement 'deep'",
    ),
    "drop of nothing": (("[even]", "[evn]"), "parts.steer.requires_drop", "did you mean even?"),
    "added concept": (
        ("[clean]", "[claen]"), "parts.steer.requires_add[0].concepts[0]", "did you mean clean?",
    ),
    "changed source": (
        ("{says: deep enough}", "{basis: [manuel]}"),
        "parts.steer.requires_change.depth.basis[0]", "did you mean manual?",
    ),
    "own unknown key": (
        ("names_add:", "if_fitted: {brake: air}\n    names_add:"),
        "parts.steer.if_fitted.brake", "did you mean brakes?",
    ),
    "key taken over": (
        ("like: tread", "like: door"), "parts.steer.like", "unknown profile key 'doors'",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_what_is_refused(name: str, tmp_path: Path) -> None:
    change, at, says = BAD[name]
    door = "  door:\n    like: tread\n    if_fitted: {doors: fitted}\n"
    text = STEER.replace(*change, 1) + door
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(steered(tmp_path, text))
    assert caught.value.code == "C02"
    found = [f for f in caught.value.faults if f.path == at and says in f.message]
    assert len(found) == 1, [str(f) for f in caught.value.faults]
