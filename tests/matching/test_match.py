"""The whole matcher: what the findings hold and in which order."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from mini_lists import listed, need, part
from spoken_lines import finding, heard, reading, transcript, yard_bus

from walkgrade.language.read import read
from walkgrade.matching.match import _visits, match
from walkgrade.matching.outcome import Bar
from walkgrade.matching.records import ItemOutcome, RemarkKind
from walkgrade.matching.scene import Scene
from walkgrade.matching.zones import Walk

WALK = (
    "Engine compartment. No leaks on the hoses, and the hoses are not cracked or worn.",
    "Down at the front axle. The steering box is mounted tight and it is not leaking.",
    "Now the rear axle. The brake drum has no cracks, no dents and no holes in it.",
)


def test_items_are_those_of_the_checklist_in_its_order() -> None:
    findings = heard(*WALK)
    assert [one.item for one in findings.items] == [item.id for item in yard_bus().items]
    for one, item in zip(findings.items, yard_bus().items, strict=True):
        assert [r.requirement for r in one.requirements] == [r.id for r in item.requirements]
        assert [r.required for r in one.requirements] == [r.required for r in item.requirements]
    assert (findings.checklist, findings.profile) == ("school-bus-air-classic", "test-vehicle")


def test_lines_are_all_utterances_with_what_they_gave_evidence_for() -> None:
    findings = heard("examiner: Go ahead.", *WALK)
    assert [one.id for one in findings.lines] == [f"u{n}" for n in range(1, 8)]
    assert findings.lines[0].text == "Go ahead."
    touched = {item for one in findings.lines for item in one.items}
    assert touched == {one.item for one in findings.items if one.named or evidence(one)}
    assert findings.lines[-1].items == ("rear-axle.brake-drum",)


def evidence(one: object) -> bool:
    return any(r.evidence for r in one.requirements)  # type: ignore[attr-defined]


def test_visits_follow_the_walk() -> None:
    visits = heard(*WALK).visits
    assert [one.place for one in visits] == ["engine", "front-axle", "rear-axle"]
    assert all(a.end <= b.start for a, b in zip(visits, visits[1:], strict=False))
    assert visits[0].start == 700
    assert all(one.end > one.start for one in visits)


@pytest.mark.parametrize(
    ("places", "visited"),
    [
        ("aaaa", "a"),
        ("aabb", "ab"),
        ("aaba", "a"),  # a word of two seconds elsewhere, then back
        ("abba", "b"),
        ("baaa", "a"),
        ("abab", ""),
    ],
)
def test_a_passing_mention_is_no_visit(places: str, visited: str) -> None:
    """Four lines of two seconds (five words) each; a stay under four seconds is no visit."""
    boxes = (part(f"{place}.box", need(f"{place}.box.secure", "secure")) for place in "ab")
    scene = Scene(listed(*boxes))
    talk = reading(*["one two three four five"] * 4, checklist=scene.checklist)
    path = np.array(["ab".index(place) for place in places])
    spent = Walk(np.ones((4, 2)), np.ones((4, 2)), path)
    assert "".join(one.place for one in _visits(talk, scene, spent)) == visited


def test_untimed_text_keeps_short_visits() -> None:
    untimed = replace(
        transcript(WALK[1], "At the back of the bus, the emergency door."), timed=False
    )
    findings = match(read(untimed, yard_bus()), yard_bus(), "v")
    assert [one.place for one in findings.visits] == ["front-axle", "rear"]


def test_findings_come_in_spoken_order() -> None:
    findings = heard(
        "I think the steering box is tight.", "Front axle. Tread is at least 4/32.",
        "Everything looks good here.",
    )  # fmt: skip
    assert [one.kind for one in findings.remarks] == [RemarkKind.HEDGE, RemarkKind.BLANKET]
    starts = [one.evidence.start for one in findings.remarks]
    assert starts == sorted(starts)


def test_a_remark_on_the_same_words_is_made_once() -> None:
    findings = heard("The steering box and the power steering hoses are leaking.")
    faults = [r for r in findings.remarks if r.kind is RemarkKind.DEFECT]
    assert len(faults) == len({(r.evidence.utterance, r.evidence.start) for r in faults}) == 1


def test_the_bar_is_handed_through() -> None:
    line = "I think the steering box is tight, not leaking, and no bolts are missing."
    usual = match(reading(line), yard_bus(), "v")
    strict = match(reading(line), yard_bus(), "v", Bar(said=0.95))
    assert finding(usual, "front-axle.steering-box").outcome is ItemOutcome.COMPLETE
    assert finding(strict, "front-axle.steering-box").outcome is ItemOutcome.NEEDS_LISTENING


def test_the_same_talk_gives_the_same_findings() -> None:
    assert heard(*WALK) == heard(*WALK)
