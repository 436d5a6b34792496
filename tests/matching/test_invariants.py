"""What must not change an outcome, on the spoken runs of the tune and demo parts.

Small samples, drawn without chance (the same ones every time); the rules speak alone, without the
run reader, so that a whole run takes a fraction of a second.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import lru_cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mini_lists import limit, listed, need, part
from spoken_lines import earned, heard, outcomes, wrong

from benchmarks.agreement import fitted, scripts
from seeds.script import Script, ScriptLine, to_transcript
from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.language.read import read
from walkgrade.matching.match import match
from walkgrade.matching.records import Findings, ItemFinding, ItemOutcome
from walkgrade.speech.records import Transcript

few = settings(deadline=None, max_examples=6, derandomize=True)
IRRELEVANT = (
    "Let me put my gloves on.",
    "My phone is ringing.",
    "It's been a long week.",
    "Excuse me for a moment.",
)
BLANKETS = (
    "Everything looks good under here.",
    "All of this is good.",
    "Everything else is fine here.",
    "No problems, all good.",
    "The whole area looks good.",
)
# Better is higher; a wrong item may look better once its line is gone, but not complete.
RANK = {
    ItemOutcome.MISSED: 0, ItemOutcome.NAMED_ONLY: 1, ItemOutcome.INCOMPLETE: 2,
    ItemOutcome.NEEDS_LISTENING: 3, ItemOutcome.WRONG: 3, ItemOutcome.COMPLETE: 4,
}  # fmt: skip


@lru_cache(maxsize=1)
def runs() -> tuple[Script, ...]:
    """The spoken runs that may be read: tune and demo."""
    return (*scripts("demo"), *scripts("tune"))


def grade(script: Script, transcript: Transcript | None = None) -> Findings:
    checklist = fitted(script)
    return match(
        read(transcript or to_transcript(script), checklist), checklist, script.profile
    )  # fmt: skip


@lru_cache(maxsize=32)
def graded(name: str) -> Findings:
    return grade(run_of(name))


def line(text: str, who: str = "trainee") -> ScriptLine:
    return ScriptLine(
        text=text, pause_ms=600, who=who, earns=(), wrong=(), numbers=(), flags=()
    )  # fmt: skip


def with_line(script: Script, at: int, added: ScriptLine) -> Script:
    return replace(script, lines=(*script.lines[:at], added, *script.lines[at:]))


def run_of(name: str) -> Script:
    return next(one for one in runs() if one.id == name)


@st.composite
def boundaries(draw: st.DrawFn) -> tuple[str, int]:
    """A run by name (so that a failure stays short) and a place between two of its lines."""
    script = draw(st.sampled_from(runs()))
    return script.id, draw(st.integers(0, len(script.lines)))


@pytest.mark.parametrize("seed", range(8))
def test_an_irrelevant_sentence_changes_no_outcome(seed: int) -> None:
    """Drawn by hand: hypothesis draws from the numbers of all modules that happen to be loaded."""
    chance = random.Random(seed)
    script = chance.choice(runs())
    at, text = chance.randrange(len(script.lines) + 1), chance.choice(IRRELEVANT)
    after = grade(with_line(script, at, line(text)))
    assert outcomes(after) == outcomes(graded(script.id))


@pytest.mark.xfail(strict=True, reason="the stem of 'bearing' (hub seal) is 'bear'")
def test_bear_with_me_names_no_part() -> None:
    assert outcomes(heard("Rear axle.", "Bear with me a second.")) == outcomes(heard("Rear axle."))


@few
@given(boundaries(), st.sampled_from(("The horn works.", "The steering box is leaking.", "Okay.")))
def test_another_voice_changes_no_outcome(spot: tuple[str, int], text: str) -> None:
    name, at = spot
    after = grade(with_line(run_of(name), at, line(text, "examiner")))
    assert outcomes(after) == outcomes(graded(name))


@few
@given(boundaries(), st.sampled_from(BLANKETS))
def test_a_blanket_claim_adds_no_credit(spot: tuple[str, int], text: str) -> None:
    name, at = spot
    after = grade(with_line(run_of(name), at, line(text)))
    assert earned(after) <= earned(graded(name))


@settings(deadline=None, max_examples=25, derandomize=True)
@given(st.lists(st.sampled_from(BLANKETS), min_size=1, max_size=5))
def test_blanket_claims_alone_earn_nothing(lines: list[str]) -> None:
    findings = heard(*lines)
    assert earned(findings) == wrong(findings) == set()
    assert {one.outcome for one in findings.items} == {ItemOutcome.MISSED}


@few
@given(st.sampled_from([one.id for one in runs()]), st.integers(1, 3_600_000))
def test_starting_later_changes_nothing_but_the_times(name: str, by: int) -> None:
    script = run_of(name)
    before = to_transcript(script)
    segments = tuple(
        replace(
            segment,
            start=segment.start + by,
            end=segment.end + by,
            words=tuple(replace(w, start=w.start + by, end=w.end + by) for w in segment.words),
        )
        for segment in before.segments
    )
    shifted = replace(before, segments=segments, duration=before.duration + by)
    early, late = graded(name), grade(script, shifted)
    assert [one.outcome for one in late.items] == [one.outcome for one in early.items]
    assert evidence_times(late) == [time + by for time in evidence_times(early)]
    assert [s.state for s in late.steps] == [s.state for s in early.steps]
    assert [v.place for v in late.visits] == [v.place for v in early.visits]


def evidence_times(findings: Findings) -> list[int]:
    return [e.start for item in findings.items for r in item.requirements for e in r.evidence]


def only_line(findings: Findings, item: str) -> str | None:
    """Id of the single line that gave evidence for an item, None when there were more."""
    touching = [one.id for one in findings.lines if item in one.items]
    return touching[0] if len(touching) == 1 else None


@st.composite
def single_lines(draw: st.DrawFn) -> tuple[str, ItemFinding, int]:
    """A run, an item with evidence in one line only, and that line's number."""
    script = draw(st.sampled_from(runs()))
    findings = graded(script.id)
    touched = [item for item in findings.items if only_line(findings, item.item)]
    item = draw(st.sampled_from(touched))
    at = next(
        number
        for number, one in enumerate(to_transcript(script).segments)
        if one.start
        <= next(u.start for u in findings.lines if u.id == only_line(findings, item.item))
        < one.end
    )
    return script.id, item, at


@few
@given(single_lines())
def test_losing_its_only_line_never_helps_an_item(case: tuple[str, ItemFinding, int]) -> None:
    name, item, at = case
    script = run_of(name)
    after = grade(replace(script, lines=(*script.lines[:at], *script.lines[at + 1 :])))
    now = outcomes(after)[item.item]
    assert RANK[now] <= RANK[item.outcome]
    if item.outcome is ItemOutcome.WRONG:
        assert now is not ItemOutcome.COMPLETE


def reordered(checklist: Checklist, *, first_concept_too: bool) -> Checklist:
    """The same checklist with concepts, wordings, names and requirements listed backwards."""

    def requirement(one: Requirement) -> Requirement:
        kept = () if first_concept_too else one.concepts[:1]
        concepts = (*kept, *one.concepts[len(kept) :][::-1])
        return replace(one, concepts=concepts, patterns=one.patterns[::-1], about=one.about[::-1])

    def item(one: Item) -> Item:
        requirements = tuple(requirement(r) for r in reversed(one.requirements))
        return replace(one, names=one.names[::-1], requirements=requirements)

    return replace(checklist, items=tuple(item(one) for one in checklist.items))


def graded_reordered(script: Script, *, first_concept_too: bool) -> Findings:
    checklist = reordered(fitted(script), first_concept_too=first_concept_too)
    assert checklist != fitted(script)
    return match(read(to_transcript(script), checklist), checklist, script.profile)


@pytest.mark.parametrize("name", ["demo-full", "demo-poor", "tune-03"])
def test_how_the_checklist_lists_its_words_changes_no_outcome(name: str) -> None:
    script = run_of(name)
    after = graded_reordered(script, first_concept_too=False)
    assert outcomes(after) == outcomes(graded(name))


@pytest.mark.xfail(
    strict=True,
    reason="naming tells presence only where 'present' is listed first among the concepts: an "
    "order with a meaning that docs/checklist-format.md does not give (crediting.credit_presence)",
)
def test_order_of_concepts_changes_no_outcome() -> None:
    script = run_of("tune-03")
    after = graded_reordered(script, first_concept_too=True)
    assert outcomes(after) == outcomes(graded("tune-03"))


def axle(place: str, other: str) -> tuple[Item, ...]:
    """The same four parts at one end of the bus, each carrying over from its twin."""

    def like(short: str, *requirements: Requirement) -> Item:
        return part(f"{place}.{short}", *requirements, carry_over=(f"{other}.{short}",))

    return (
        like("spring", need(f"{place}.spring.crack", "no_crack")),
        like(
            "chamber",
            need(f"{place}.chamber.leak", "no_leak"),
            need(f"{place}.chamber.secure", "secure"),
        ),
        like("drum", need(f"{place}.drum.crack", "no_crack")),
        part(f"{place}.tread", need(f"{place}.tread.depth", limit=limit("at least", "2/32"))),
    )


ENDS = listed(
    *axle("front", "rear"), *axle("rear", "front"),
    cues={"front": ("front axle",), "rear": ("rear axle",)},
)  # fmt: skip
SAYINGS = (
    "On the {one} axle the spring is not cracked.",
    "The chamber on the {one} axle is not leaking.",
    "The {one} chamber is secure.",
    "The {one} drum is cracked.",
    "The {one} drum has no cracks.",
    "On the {one} axle, tread at least 2/32.",
    "On the {one} axle, tread at least 1/32.",
    "The {one} chamber is the same as the {other}.",
    "On the {one} axle. The drum, same as on the {other} axle.",
)


def swapped(ids: set[str]) -> set[str]:
    names = {"front": "rear", "rear": "front"}
    return {
        f"{names[one.partition('.')[0]]}.{one.partition('.')[2]}" for one in ids
    }  # fmt: skip


def ended(sayings: list[tuple[str, bool]], *, turned: bool) -> Findings:
    lines = []
    for saying, front in sayings:
        one, other = ("front", "rear") if front != turned else ("rear", "front")
        lines.append(saying.format(one=one, other=other))
    return heard(*lines, checklist=ENDS)


@settings(deadline=None, max_examples=80, derandomize=True)
@given(st.lists(st.tuples(st.sampled_from(SAYINGS), st.booleans()), min_size=1, max_size=2))
def test_swapping_front_and_rear_swaps_the_findings(sayings: list[tuple[str, bool]]) -> None:
    plain, turned = ended(sayings, turned=False), ended(sayings, turned=True)
    assert earned(turned) == swapped(earned(plain))
    assert wrong(turned) == swapped(wrong(plain))


@pytest.mark.xfail(
    strict=True,
    reason="'rear' right before the part loses against the walk and the part in focus "
    "(resolve._pick); about 3 in 100 talks of three sayings are not symmetric",
)
def test_swapping_front_and_rear_between_two_mentions_of_the_other_end() -> None:
    sayings = [(SAYINGS[1], False), (SAYINGS[3], True), (SAYINGS[8], False)]
    plain, turned = ended(sayings, turned=False), ended(sayings, turned=True)
    assert earned(turned) == swapped(earned(plain))
    assert wrong(turned) == swapped(wrong(plain))


def test_the_swapped_sayings_do_earn_and_spoil() -> None:
    every = ended([(saying, True) for saying in SAYINGS[:4]], turned=False)
    assert earned(every) == {"front.spring.crack", "front.chamber.leak", "front.chamber.secure"}
    assert wrong(every) == {"front.drum.crack"}


@few
@given(st.permutations(range(4)), st.permutations(range(len(SAYINGS) - 2)))
def test_order_of_items_with_names_of_their_own_changes_no_outcome(
    order: list[int], said: list[int]
) -> None:
    items = axle("front", "rear")
    lines = [SAYINGS[index].format(one="front", other="rear") for index in said[:4]]
    plain = replace(ENDS, items=tuple(replace(item, carry_over=()) for item in items))
    moved = replace(plain, items=tuple(plain.items[index] for index in order))
    assume(order != sorted(order))
    assert outcomes(heard(*lines, checklist=moved)) == outcomes(heard(*lines, checklist=plain))
