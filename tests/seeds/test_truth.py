"""Truth rules: one table of labelled lines and the outcome they give."""

import pytest

from seeds.script import Script, ScriptLine
from seeds.truth import truth_of
from walkgrade.checklists.records import (
    Checklist,
    Fitted,
    Item,
    Kind,
    Requirement,
    Section,
    VehicleProfile,
)
from walkgrade.matching.records import ItemOutcome as Out


def need(id: str, *, required: bool = True, **more: object) -> Requirement:
    return Requirement(id=id, row="1", kind=Kind.CONDITION, says=id, required=required, **more)


def part(id: str, *requirements: Requirement, **more: object) -> Item:
    return Item(
        id=id, title=id, row="1", section="walk", place="front", names=(id,),
        requirements=requirements, **more,
    )  # fmt: skip


BELT_ONLY = (Fitted(key="drive", values=("belt",)),)
CHECKLIST = Checklist(
    id="small", version="1", title="Small", vehicle="bus", edition="none", budget_s=60,
    cautions=(), places=(), sections=(Section(id="walk", title="Walk", budget_s=60),),
    items=(
        part("front.tyre", need("front.tyre.tread"), need("front.tyre.inflated"),
             need("front.tyre.brand", required=False)),
        part("front.pump", need("front.pump.secure"),
             need("front.pump.snug", if_fitted=BELT_ONLY)),
        part("front.belt", need("front.belt.snug"), if_fitted=BELT_ONLY),
        part("front.lamp"),
    ),
)  # fmt: skip
BELT = VehicleProfile(id="belt", title="Belt", fitted=(("drive", "belt"),))
GEAR = VehicleProfile(id="gear", title="Gear", fitted=(("drive", "gear"),))


def line(
    earns: dict[str, list[str]] | None = None,
    wrong: dict[str, list[str]] | None = None,
    who: str = "trainee",
) -> ScriptLine:
    def pairs(found: dict[str, list[str]] | None) -> tuple[tuple[str, tuple[str, ...]], ...]:
        return tuple((item, tuple(reqs)) for item, reqs in (found or {}).items())

    return ScriptLine(
        text="words", pause_ms=400, who=who, earns=pairs(earns), wrong=pairs(wrong),
        numbers=(), flags=(),
    )  # fmt: skip


def script(*lines: ScriptLine) -> Script:
    return Script(
        id="t", checklist="small", profile="belt", speaker="t", part="tune",
        complete_run=True, lines=lines,
    )  # fmt: skip


T = "front.tyre"
ROWS = [
    pytest.param(T, [line()], Out.MISSED, id="never-named"),
    pytest.param(T, [line({T: []})], Out.NAMED_ONLY, id="named-only"),
    pytest.param(T, [line({T: ["tread"]})], Out.INCOMPLETE, id="half"),
    pytest.param(T, [line({T: ["brand"]})], Out.INCOMPLETE, id="optional-only"),
    pytest.param(T, [line({T: ["tread", "inflated"]})], Out.COMPLETE, id="all-required"),
    pytest.param(T, [line({T: ["tread"]}), line({T: ["inflated"]})], Out.COMPLETE, id="in-two"),
    pytest.param(T, [line({T: ["inflated"]}, {T: ["tread"]})], Out.WRONG, id="one-right-one-wrong"),
    pytest.param(
        T, [line({T: ["tread", "inflated"]}, {T: ["brand"]})], Out.WRONG, id="optional-wrong"
    ),
    pytest.param(
        T,
        [line({T: ["inflated"]}, {T: ["tread"]}), line({T: ["tread"]})],
        Out.COMPLETE,
        id="later-right-repairs",
    ),
    pytest.param(
        T,
        [line({T: ["inflated", "tread"]}), line(wrong={T: ["tread"]})],
        Out.WRONG,
        id="later-wrong-stands",
    ),
    pytest.param(
        T, [line({T: ["tread", "inflated"]}, who="examiner")], Out.MISSED, id="examiner-earns-none"
    ),
    pytest.param(
        T,
        [line({T: ["tread", "inflated"]}), line(wrong={T: ["tread"]}, who="other")],
        Out.COMPLETE,
        id="other-voice-spoils-none",
    ),
    pytest.param("front.lamp", [line({"front.lamp": []})], Out.COMPLETE, id="nothing-required"),
    pytest.param("front.lamp", [line()], Out.MISSED, id="nothing-required-unnamed"),
    pytest.param(
        "front.pump", [line({"front.pump": ["secure"]})], Out.INCOMPLETE, id="belt-needs-snug"
    ),
]


@pytest.mark.parametrize(("item", "lines", "outcome"), ROWS)
def test_outcome(item: str, lines: list[ScriptLine], outcome: Out) -> None:
    assert truth_of(script(*lines), CHECKLIST, BELT)[item] is outcome


def test_profile_switches_items_and_requirements() -> None:
    run = script(line({"front.pump": ["secure"]}))
    assert truth_of(run, CHECKLIST, GEAR) == {
        "front.tyre": Out.MISSED,
        "front.pump": Out.COMPLETE,
        "front.lamp": Out.MISSED,
    }


def test_wrong_of_requirement_that_does_not_apply_is_ignored() -> None:
    run = script(line({"front.pump": ["secure"]}, {"front.pump": ["snug"]}))
    assert truth_of(run, CHECKLIST, GEAR)["front.pump"] is Out.COMPLETE
    assert truth_of(run, CHECKLIST, BELT)["front.pump"] is Out.WRONG


def test_order_is_the_checklists() -> None:
    run = script(line({"front.lamp": [], "front.tyre": []}))
    assert list(truth_of(run, CHECKLIST, BELT)) == [item.id for item in CHECKLIST.items]
