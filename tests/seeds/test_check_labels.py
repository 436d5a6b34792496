"""Labels: which are legal. One small checklist, one row for each fault and each thing allowed."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from seeds.check_labels import SCRIPTS, check_file, faults_in
from seeds.script import Script, ScriptLine, SpokenNumber
from walkgrade.checklists.records import (
    Checklist,
    Comparator,
    Fitted,
    Item,
    Kind,
    Limit,
    Requirement,
    Section,
    VehicleProfile,
)

AT_LEAST_4 = Limit(
    quantity="tread depth", comparator=Comparator.AT_LEAST, low=Fraction(4, 32), high=None,
    accept_low=Fraction(4, 32), accept_high=Fraction(4, 32), unit="in",
)  # fmt: skip
BELT = (Fitted(key="drive", values=("belt",)),)
ABOUT_55 = replace(
    AT_LEAST_4, quantity="low-air warning", comparator=Comparator.ABOUT, low=Fraction(55),
    accept_low=Fraction(55), accept_high=Fraction(60), unit="psi",
)  # fmt: skip


def need(id: str, **more: object) -> Requirement:
    return Requirement(id=id, row="1", kind=Kind.CONDITION, says=id, required=True, **more)


def part(id: str, names: tuple[str, ...], *needs: Requirement, **more: object) -> Item:
    return Item(
        id=id, title=id, row="1", section="walk", place="front", names=names, requirements=needs,
        **more,
    )  # fmt: skip


CHECKLIST = Checklist(
    id="small", version="1", title="Small", vehicle="bus", edition="none", budget_s=60,
    cautions=(), places=(), sections=(Section(id="walk", title="Walk", budget_s=60),),
    items=(
        part("front.tyre", ("tire",), need("front.tyre.tread", limit=AT_LEAST_4),
             need("front.tyre.even")),
        part("rear.tyre", ("tire",), need("rear.tyre.even"), carry_over=("front.tyre",)),
        part("rear.rim", ("rim", "wheel rims"), need("rear.rim.unbent"), need("rear.rim.unwelded"),
             carry_over=("front.rim",)),
        part("front.rim", ("rim",), need("front.rim.unbent"), need("front.rim.unwelded")),
        part("front.pump", ("pump",), need("front.pump.snug", if_fitted=BELT)),
        part("front.buzzer", ("buzzer",), need("front.buzzer.at", limit=ABOUT_55)),
        part("front.belt", ("belt",), need("front.belt.snug"), if_fitted=BELT),
    ),
)  # fmt: skip
GEAR = VehicleProfile(id="gear", title="Gear", fitted=(("drive", "gear"),))


def buzz(low: str) -> dict:
    return depth(low, "exactly", requirement="front.buzzer.at", unit="psi")


def depth(low: str, comparator: str = "at least", right: bool = True, **more: object) -> dict:
    fields = {"requirement": "front.tyre.tread", "high": None, "unit": "in", **more}
    return {"low": Fraction(low), "comparator": comparator, "right": right, **fields}


def line(
    earns: dict[str, list[str]] | None = None,
    wrong: dict[str, list[str]] | None = None,
    numbers: tuple[dict, ...] = (),
    who: str = "trainee",
    text: str = "words",
) -> ScriptLine:
    def pairs(found: dict[str, list[str]] | None) -> tuple[tuple[str, tuple[str, ...]], ...]:
        return tuple((item, tuple(reqs)) for item, reqs in (found or {}).items())

    return ScriptLine(
        text=text, pause_ms=400, who=who, earns=pairs(earns), wrong=pairs(wrong),
        numbers=tuple(SpokenNumber(**one) for one in numbers), flags=(),
    )  # fmt: skip


def run(*lines: ScriptLine, id: str = "tune-x", part: str = "tune") -> list[str]:
    script = Script(
        id=id, checklist="small", profile="gear", speaker="t", part=part, complete_run=True,
        lines=lines,
    )  # fmt: skip
    return faults_in(script, CHECKLIST, GEAR)


TREAD = {"front.tyre": ["tread"]}
FRONT_RIM = line({"front.rim": ["unbent"]})

GOOD = {
    "named-only": [line({"front.rim": []})],
    "right-number": [line(TREAD, numbers=(depth("4/32"),))],
    "safe-reading": [line(TREAD, numbers=(depth("9/32", "exactly"),))],
    "early-reading": [line({"front.buzzer": ["at"]}, numbers=(buzz("75"),))],
    "wrong-value": [line({"front.tyre": []}, TREAD, (depth("2/32", right=False),))],
    "wrong-rule-safe-reading": [
        line(None, TREAD, (depth("2/32", right=False), depth("9/32", "exactly"))),
    ],
    "reading-after-wrong-rule": [
        line(None, TREAD, (depth("2/32", right=False),)),
        line({"front.tyre": []}, numbers=(depth("9/32", "exactly"),)),
    ],
    "reading-within-after-wrong-rule": [
        line(None, {"front.buzzer": ["at"]}, (buzz("40") | {"right": False},)),
        line({"front.buzzer": []}, numbers=(buzz("58"),)),
    ],
    "range-read": [line(TREAD, numbers=(depth("8/32", "between", high=Fraction(9, 32)),))],
    "wrong-way": [line(None, TREAD, (depth("4/32", "at most", right=False),))],
    "other-unit-is-the-examiners-call": [line(TREAD, numbers=(depth("3", unit="unit"),))],
    "carried": [FRONT_RIM, line({"rear.rim": ["unbent"]}, text="Same on this side.")],
    "same-but-named": [line({"rear.rim": ["unbent"]}, text="Same side: wheel rims not bent.")],
    "same-but-meant": [
        line({"rear.rim": []}, text="Rim."),
        line({"rear.rim": ["unbent"]}, text="At the same time it's not bent."),
    ],
    "examiner-plain": [line(who="examiner")],
}
BAD = {
    "unknown-item": ([line({"front.hub": []})], "item front.hub is not in the checklist"),
    "item-off": ([line({"front.belt": []})], "front.belt does not apply to this profile"),
    "unknown-requirement": ([line({"front.rim": ["clean"]})], "front.rim.clean is not in"),
    "requirement-off": ([line({"front.pump": ["snug"]})], "front.pump.snug does not apply"),
    "both": ([line({"front.rim": ["unbent"]}, {"front.rim": ["unbent"]})], "both earned and wrong"),
    "empty-wrong": ([line(None, {"front.rim": []})], "names no requirement"),
    "examiner-earns": ([line({"front.rim": []}, who="examiner")], "examiner earns nothing"),
    "no-limit": (
        [line({"front.rim": ["unbent"]}, None, (depth("1", requirement="front.rim.unbent"),))],
        "no such requirement with a limit",
    ),
    "no-unit": ([line(TREAD, numbers=(depth("4/32", unit="inch"),))], "unit 'inch'"),
    "range-without-high": ([line(TREAD, numbers=(depth("4/32", "between"),))], "go together"),
    "arithmetic-against": ([line(TREAD, numbers=(depth("2/32"),))], "does not fit its limit"),
    "no-reading": ([line(TREAD, numbers=(depth("9/32", "at least"),))], "does not fit its limit"),
    "too-early-reading": ([line({"front.buzzer": ["at"]}, numbers=(buzz("76"),))], "does not fit"),
    "late-reading": ([line({"front.buzzer": ["at"]}, numbers=(buzz("54"),))], "does not fit"),
    "unsafe-reading": ([line(TREAD, numbers=(depth("3/32", "exactly"),))], "does not fit"),
    "way-against": ([line(TREAD, numbers=(depth("4/32", "below"),))], "does not fit its limit"),
    "right-after-all": (
        [line(None, TREAD, (depth("4/32", right=False),))],
        "fits its limit, but right is False",
    ),
    "right-not-earned": ([line(None, None, (depth("4/32"),))], "is right, the label is not"),
    "rule-after-wrong-one-earns": (
        [
            line(None, TREAD, (depth("2/32", right=False),)),
            line({"front.tyre": []}, numbers=(depth("4/32"),)),
        ],
        "is right, the label is not",
    ),
    "reading-after-mended-rule-earns": (
        [
            line(None, TREAD, (depth("2/32", right=False),)),
            line(TREAD, numbers=(depth("4/32"),)),
            line({"front.tyre": []}, numbers=(depth("9/32", "exactly"),)),
        ],
        "is right, the label is not",
    ),
    "wrong-not-labelled": (
        [line(None, None, (depth("2/32", right=False),))],
        "is wrong, the label is not",
    ),
    "carried-from-nothing": (
        [line({"rear.rim": ["unbent"]}, text="Same on this side.")],
        "carried over from nothing",
    ),
    "carried-too-much": (
        [FRONT_RIM, line({"rear.rim": ["unbent", "unwelded"]}, text="Same on this side.")],
        "with more than front.rim had",
    ),
    "never-carried": (
        [line(text="x"), line({"front.rim": ["unbent"]}, text="Same on this side.")],
        "cannot be carried over",
    ),
}


@pytest.mark.parametrize("lines", GOOD.values(), ids=GOOD)
def test_allowed(lines: list[ScriptLine]) -> None:
    assert run(*lines) == []


@pytest.mark.parametrize(("lines", "fault"), BAD.values(), ids=BAD)
def test_refused(lines: list[ScriptLine], fault: str) -> None:
    found = run(*lines)
    assert len(found) >= 1
    assert any(fault in one and one.startswith(f"line {len(lines)}: ") for one in found), found


def test_script_stands_where_its_name_says() -> None:
    assert run(FRONT_RIM, id="report-1", part="report") == []
    assert "part 'tune' is not the one" in run(FRONT_RIM, id="report-1")[0]


def test_there_are_scripts() -> None:
    assert {"demo-full", "demo-poor", "demo-short"} <= {path.stem for path in ALL}


ALL = sorted(SCRIPTS.glob("*.yaml"))


@pytest.mark.parametrize("path", ALL, ids=[path.stem for path in ALL])
def test_every_script_is_legal(path: Path) -> None:
    script, outcomes = check_file(path)
    assert sum(outcomes.values()) > 0
    assert script.word_count > 20
