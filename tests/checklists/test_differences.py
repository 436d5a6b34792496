# ruff: noqa: E501 - one row a line, so that the table can be read down
"""What changes for a trainee between two versions, one change at a time."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from checklist_writer import write_small
from hypothesis import given, settings
from hypothesis import strategies as st

from walkgrade.checklists.differences import FOR_RECORD, Kind, as_data, changes_between
from walkgrade.checklists.library import find_checklist
from walkgrade.checklists.pairs import item_pairs
from walkgrade.checklists.records import Checklist

HEAD = """\
format: 1
id: ours
version: "2"
title: Ours
base: small.yaml
date: "2026-03-01"
basis: [manual]
"""

# changes of the small checklist -> the sentences told of them, by kind
CASES = {
    "nothing": ("", set()),
    "a new item": (
        "add: [{section: engine, id: engine.horn, row: X, title: Horn, names: [horn], requires: [{id: a, says: it works, concepts: [works]}], optional: [{id: b, says: it is loud, patterns: [loud]}], basis: [manual]}]\n",
        {(Kind.NEW, "Horn: it works"), (Kind.NEW, "Horn: it is loud (a bonus)")},
    ),
    "an item gone": ("drop: [check.hold]\n", {(Kind.GONE, "Hold: one minute")}),
    "a requirement gone": ("drop: [front-axle.tread.even]\n", {(Kind.GONE, "Tread, front axle: evenly worn (a bonus)")}),
    "a requirement new": (
        "items: {check.hold: {requires_add: [{id: x, says: hard, patterns: [hard]}]}}\n",
        {(Kind.NEW, "Hold: hard")},
    ),
    "another number": (
        'requirements:\n  front-axle.tread.depth: {limit: {quantity: tread depth, comparator: at least, low: "5/32", unit: in, accept: ["5/32", "6/32"]}}\n',
        {(Kind.NUMBER, "Tread, front axle: tread depth at least 5/32 in (right: 5/32 to 6/32) (was: tread depth at least 4/32 in (right: 4/32))")},
    ),
    "another place": ("items: {check.hold: {place: rear-axle}}\n", {(Kind.PLACE, "Hold: Rear axle (was: Engine)")}),
    "renamed": ("items: {check.hold: {title: Keep it down}}\n", {(Kind.RENAMED, "Keep it down: now called Keep it down (was: Hold)")}),
    "needed": ("requirements: {front-axle.tread.even: {required: true}}\n", {(Kind.NEEDED, "Tread, front axle: needed: evenly worn (was: a bonus only)")}),
    "words": (
        "requirements: {engine.oil-level.level: {concepts: [level, no_leak]}}\n",
        {(Kind.WORDS, "Oil level: level: level, no_leak (was: level)")},
    ),
    "vehicle": ("items: {check.stop: {if_fitted: {brakes: [air]}}}\n", {(Kind.VEHICLE, "Engine off: only if brakes is air (was: every vehicle)")}),
    "critical": ("items: {check.stop: {critical: true}}\n", {(Kind.CRITICAL, "Engine off: a miss commonly fails the test (was: a miss alone does not fail the test)")}),
    "carry-over": (
        "carry_over: false\n",
        {(Kind.CARRY, f"Tread, {a} axle: does not count (was: counts from {b}-axle.tread)") for a, b in (("front", "rear"), ("rear", "front"))},
    ),
    "time": (
        "section_minutes: {check: 2}\n",
        {(Kind.TIME, "Check: 2 min (was: 1 min)"), (Kind.TIME, "The whole run: 4 min (was: 3 min)")},
    ),
    "points": (
        "points: {each: 2, items: {check.hold: 9}}\ntarget_percent: 90\n",
        {(Kind.POINTS, "Points: 2 an item, 9 for check.hold (was: the usual ones)"), (Kind.POINTS, "The school's own target: 90 % (was: the usual one)")},
    ),
    "wording": ("requirements: {check.hold.minute: {says: a minute}}\n", {(Kind.SAID, "Hold: a minute (was: one minute)")}),
    "names": (
        "items: {check.hold: {names: [keep it down]}}\n",
        {(Kind.NAMES, "Hold: hold the pedal no longer understood as this"), (Kind.NAMES, "Hold: keep it down now understood as this")},
    ),
    "source": (
        "sources: {sheet: {title: Sheet, section: p, standing: from memory}}\nrequirements: {check.hold.minute: {basis: [sheet]}}\n",
        {(Kind.SOURCE, "Hold: one minute: Sheet, p [from memory] (was: Manual, 1 [published])")},
    ),
}  # fmt: skip


def versions(folder: Path, text: str) -> tuple[Checklist, Checklist]:
    path = folder / "ours.yaml"
    old = find_checklist(str(write_small(folder)))
    path.write_text(HEAD + text, encoding="utf-8")
    return old, find_checklist(str(path))


@pytest.mark.parametrize("name", CASES)
def test_each_change_is_told(name: str, tmp_path: Path) -> None:
    text, told = CASES[name]
    found = changes_between(*versions(tmp_path, text))
    assert {(one.kind, one.text) for one in found} == told


def test_every_kind_has_its_case() -> None:
    assert {kind for _, told in CASES.values() for kind, _ in told} | {Kind.ORDER} == set(Kind)


def test_swapped_steps(tmp_path: Path) -> None:
    old, _ = versions(tmp_path, "")
    stop, hold = old.items[-2:]
    new = replace(old, items=(*old.items[:-2], replace(hold, step=1), replace(stop, step=2)))
    (change,) = changes_between(old, new)
    assert (change.kind, change.where) == (Kind.ORDER, "check")
    assert change.text == "Check: Hold, Engine off (was: Engine off, Hold)"


def test_an_item_of_other_id_is_the_same_when_it_reads_the_same(tmp_path: Path) -> None:
    old, _ = versions(tmp_path, "")
    first = old.items[0]
    lines = tuple(replace(r, id=r.id.replace(first.id, "engine.oil")) for r in first.requirements)
    new = replace(old, items=(replace(first, id="engine.oil", requirements=lines), *old.items[1:]))
    (change,) = changes_between(old, new)
    assert (change.kind, change.was, change.now) == (
        Kind.NAMES,
        "id engine.oil-level",
        "id engine.oil",
    )
    assert change.kind in FOR_RECORD


def test_as_json(tmp_path: Path) -> None:
    old, new = versions(tmp_path, "drop: [check.hold]\n")
    data = json.loads(json.dumps(as_data(old, new, changes_between(old, new))))
    assert data["format"] == "walkgrade-comparison"
    assert (data["old"]["id"], data["new"]["version"]) == ("small", "2")
    assert data["changes"] == [
        {
            "kind": "no longer to say",
            "where": "check.hold.minute",
            "title": "Hold",
            "was": "one minute",
            "now": "",
            "text": "Hold: one minute",
        }
    ]


CLASSIC = find_checklist("school-bus-air-classic")


@settings(max_examples=25, deadline=None)
@given(drop=st.sets(st.sampled_from(CLASSIC.items), max_size=6))
def test_whatever_is_dropped_is_told_and_the_way_back_says_the_opposite(drop: set) -> None:  # type: ignore[type-arg]
    less = replace(CLASSIC, items=tuple(item for item in CLASSIC.items if item not in drop))
    gone = {one.where for one in changes_between(CLASSIC, less) if one.kind is Kind.GONE}
    come = {one.where for one in changes_between(less, CLASSIC) if one.kind is Kind.NEW}
    assert gone == come == {r.id for item in drop for r in item.requirements}
    pairs = item_pairs(CLASSIC, less)
    assert len(pairs) == len(CLASSIC.items)
    assert all(a is b for a, b in pairs if b is not None)


def test_a_checklist_does_not_differ_from_itself() -> None:
    assert changes_between(CLASSIC, CLASSIC) == ()
