"""Taking something away never adds a miss, and putting it back never removes one.

For vehicle profiles (a component fitted or not) and for overlays (items and requirements dropped).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist, VehicleProfile
from walkgrade.language.read import read
from walkgrade.matching.match import match
from walkgrade.matching.records import Outcome
from walkgrade.speech.cues import Cue, segments_from
from walkgrade.speech.records import Transcript

CLASSIC = find_checklist("school-bus-air-classic")
BUS = find_profile("yard-bus-air")
OFF = ("none", "not-asked")
COMPONENTS = tuple(
    rule.key for rule in CLASSIC.profile_keys if set(rule.values) & {"fitted", "asked"}
)
SAID = """Front of the bus. It stands level.
Front axle. Tread at least 4/32 inch, even wear, no cuts, inflated by gauge.
Lug nuts all there, none loose, no rust. Hub seal not leaking.
Left side. Stop arm secure, not damaged, extends fully, lights work. Turn signal works.
Rear of the bus. Emergency door not damaged, works smoothly, closes tight, opens from both sides.
Inside. Seat belts latch, not ripped. Roof hatches push up and out. Step light works.
Driver's seat. Horn works. Heater and defroster work. Wipers secure, washers work."""


def with_component(profile: VehicleProfile, on: dict[str, bool]) -> VehicleProfile:
    """`profile` with components switched on or off."""
    words = {rule.key: rule.values for rule in CLASSIC.profile_keys}
    fitted = dict(profile.fitted)
    for key, is_on in on.items():
        fitted[key] = next(word for word in words[key] if (word in OFF) is not is_on)
    return replace(profile, fitted=tuple(fitted.items()))


def required(checklist: Checklist) -> set[str]:
    return {r.id for item in checklist.items for r in item.requirements if r.required}


def missed(checklist: Checklist, said: str = SAID) -> set[str]:
    """Required requirements that a short talk does not earn."""
    cues = [
        Cue(line=n, start=n * 9000, end=n * 9000 + 8000, text=line)
        for n, line in enumerate(said.splitlines())
    ]
    segments = segments_from(cues)
    transcript = Transcript(id="said", segments=segments, duration=segments[-1].end)
    findings = match(read(transcript, checklist), checklist, "bus")
    rows = [one for item in findings.items for one in item.requirements]
    return {one.requirement for one in rows if one.required and one.outcome != Outcome.SAID}


def test_there_are_components() -> None:
    assert len(COMPONENTS) > 15


@settings(max_examples=150, deadline=None)
@given(
    start=st.fixed_dictionaries({key: st.booleans() for key in COMPONENTS}),
    off=st.sets(st.sampled_from(COMPONENTS), min_size=1, max_size=4),
)
def test_a_component_taken_off_asks_for_nothing_new(start: dict[str, bool], off: set[str]) -> None:
    on = {**start, **dict.fromkeys(off, True)}
    with_it = applicable(CLASSIC, with_component(BUS, on))
    without = applicable(CLASSIC, with_component(BUS, {**on, **dict.fromkeys(off, False)}))
    assert required(without) <= required(with_it)
    lines = {r.id: r for item in with_it.items for r in item.requirements}
    assert all(lines[r.id] == r for item in without.items for r in item.requirements)


@pytest.mark.parametrize("key", COMPONENTS)
def test_a_component_taken_off_adds_no_miss_to_a_run(key: str) -> None:
    with_it = missed(applicable(CLASSIC, with_component(BUS, {key: True})))
    without = missed(applicable(CLASSIC, with_component(BUS, {key: False})))
    assert without <= with_it


def test_the_talk_earns_and_misses() -> None:
    fitted = applicable(CLASSIC, BUS)
    assert 20 < len(missed(fitted)) < len(required(fitted)) - 20


HEAD = {
    "format": 1, "id": "ours", "version": "1", "title": "Ours", "base": "school-bus-air-classic",
    "date": "2026-03-01", "basis": ["practice"],
}  # fmt: skip


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    items=st.sets(st.sampled_from([item.id for item in CLASSIC.items]), max_size=5),
    extra=st.sampled_from([item for item in CLASSIC.items if len(item.requirements) > 1]),
)
def test_an_overlay_that_only_drops_asks_for_nothing_new(
    items: set[str], extra: object, tmp_path: Path
) -> None:
    assert hasattr(extra, "requirements")
    line = extra.requirements[-1].id
    drop = sorted(items if extra.id in items else {*items, line})
    path = tmp_path / "ours.yaml"
    path.write_text(yaml.safe_dump({**HEAD, "drop": drop}), encoding="utf-8")
    ours = find_checklist(str(path))
    assert required(ours) <= required(CLASSIC)
    gone = {
        r.id for item in CLASSIC.items if item.id in items for r in item.requirements if r.required
    }
    assert required(CLASSIC) - required(ours) == gone | ({line} & required(CLASSIC))
    assert {item.id for item in ours.items} == {i.id for i in CLASSIC.items} - items


DROPS = (
    ["cab.horn"],
    ["front-axle.tyre-condition"],
    ["rear.emergency-door"],
    ["front-axle.tyre-tread", "rear-axle.tyre-tread"],
    ["passenger.passenger-belts"],
    pytest.param(
        ["left-side.stop-arm"],
        marks=pytest.mark.xfail(
            reason="where the stop arm's words mean nothing, the walk is thought to leave the left "
            "side, and the turn signal said there goes elsewhere",
            strict=True,
        ),
    ),
)


@pytest.mark.parametrize("drop", DROPS, ids=str)
def test_an_item_dropped_adds_no_miss_to_a_run(drop: list[str], tmp_path: Path) -> None:
    path = tmp_path / "ours.yaml"
    path.write_text(yaml.safe_dump({**HEAD, "drop": drop}), encoding="utf-8")
    ours = missed(applicable(find_checklist(str(path)), BUS))
    assert ours <= missed(applicable(CLASSIC, BUS))


SAME = """Front axle. Lug nuts are all there, none loose, no cracks, no rust.
Rear axle. Lug nuts same as the front."""


@pytest.mark.parametrize("carry_over", [True, False])
def test_carry_over_earns_unless_the_school_says_no(carry_over: bool, tmp_path: Path) -> None:
    path = tmp_path / "ours.yaml"
    path.write_text(yaml.safe_dump({**HEAD, "carry_over": carry_over}), encoding="utf-8")
    found = missed(applicable(find_checklist(str(path)), BUS), SAME)
    assert "front-axle.lug-nuts.complete" not in found
    assert ("rear-axle.lug-nuts.complete" in found) is not carry_over
