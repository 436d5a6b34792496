"""Properties of the whole: what must not matter does not matter."""

from __future__ import annotations

from dataclasses import replace

import grade_factories as make
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.grading.grade import grade
from walkgrade.grading.records import Grade
from walkgrade.matching.records import (
    Evidence,
    Findings,
    ItemFinding,
    ItemOutcome,
    Visit,
)
from walkgrade.speech.records import Word

ITEMS = tuple(
    make.item(f"{zone}.part-{n}", critical=zone == "cab")
    for zone in ("engine", "cab", "rear")
    for n in range(3)
)
LISTED = make.checklist(*ITEMS, budget_s=60)

outcomes = st.lists(st.sampled_from(list(ItemOutcome)), min_size=len(ITEMS), max_size=len(ITEMS))
moments = st.lists(
    st.integers(min_value=0, max_value=120_000), min_size=len(ITEMS), max_size=len(ITEMS)
)


def _findings(kinds: list[ItemOutcome], times: list[int]) -> Findings:
    rows = tuple(
        make.found(entry, kind, at=at) for entry, kind, at in zip(ITEMS, kinds, times, strict=True)
    )
    ordered = sorted(zip(times, ITEMS, strict=True), key=lambda pair: pair[0])
    return make.findings(
        *rows,
        lines=tuple(
            make.line(f"u{n}", at, at + 1_000, section=entry.section)
            for n, (at, entry) in enumerate(ordered)
        ),
        visits=tuple(make.visit(entry.place, at, at + 1_000) for at, entry in ordered),
    )


def _words(times: list[int]) -> tuple[Word, ...]:
    return make.words(*((at, at + 400) for at in sorted(times)))


def _points(result: Grade) -> tuple[object, ...]:
    return (
        result.totals,
        result.target,
        [(row.item, row.outcome, row.points) for row in result.items],
        [(row.section, row.tally) for row in result.sections],
        [(row.sentence, row.kind) for row in result.drills],
        [row.item for row in result.critical],
    )


@given(outcomes, moments, st.integers(min_value=0, max_value=130_000))
def test_an_irrelevant_line_changes_nothing_but_the_transcript(
    kinds: list[ItemOutcome], times: list[int], at: int
) -> None:
    found = _findings(kinds, times)
    chatter = make.line("x", at, at + 300, text="Lovely weather.")
    longer = replace(
        found, lines=tuple(sorted((*found.lines, chatter), key=lambda line: line.start))
    )
    words = _words(times)
    assert _points(grade(longer, LISTED, words)) == _points(grade(found, LISTED, words))


def _move(pieces: tuple[Evidence, ...], by: int) -> tuple[Evidence, ...]:
    return tuple(replace(row, start=row.start + by, end=row.end + by) for row in pieces)


def _move_item(row: ItemFinding, by: int) -> ItemFinding:
    parts = tuple(replace(part, evidence=_move(part.evidence, by)) for part in row.requirements)
    return replace(row, named=_move(row.named, by), requirements=parts)


def _move_all(found: Findings, by: int) -> Findings:
    return replace(
        found,
        items=tuple(_move_item(row, by) for row in found.items),
        lines=tuple(replace(row, start=row.start + by, end=row.end + by) for row in found.lines),
        visits=tuple(
            Visit(place=row.place, start=row.start + by, end=row.end + by) for row in found.visits
        ),
    )


@given(outcomes, moments, st.integers(min_value=0, max_value=3_600_000))
def test_moving_the_recording_changes_no_points_and_no_lengths(
    kinds: list[ItemOutcome], times: list[int], by: int
) -> None:
    found = _findings(kinds, times)
    first = grade(found, LISTED, _words(times))
    moved = grade(_move_all(found, by), LISTED, _words([at + by for at in times]))
    assert _points(moved) == _points(first)
    lengths = [
        (
            result.pace.elapsed_ms,
            result.pace.over_ms,
            result.pace.projected_ms,
            result.pace.unsaid,
            result.pace.points_at_budget,
            result.pace.speech.speaking_ms,
            result.pace.speech.rate_wpm,
            [row.time_ms for row in result.sections],
            [gap.end - gap.start for gap in result.pace.speech.silences],
        )
        for result in (first, moved)
    ]
    assert lengths[0] == lengths[1]


@given(outcomes, moments)
def test_bounds_hold(kinds: list[ItemOutcome], times: list[int]) -> None:
    result = grade(_findings(kinds, times), LISTED, _words(times))
    totals = result.totals
    assert 0 <= totals.points <= totals.points_if_confirmed <= totals.points_possible
    assert totals.points_if_confirmed - totals.points == len(result.listening)
    assert sum(row.tally.points for row in result.sections) == totals.points
    assert len(result.drills) <= 5
    assert result.pace.points_at_budget is None or result.pace.points_at_budget <= totals.points


@given(outcomes, moments)
def test_grade_is_a_value(kinds: list[ItemOutcome], times: list[int]) -> None:
    found = _findings(kinds, times)
    first, second = (grade(found, LISTED, _words(times)) for _ in range(2))
    # hash() fails as soon as a list slips into a record.
    assert hash(first) == hash(second)
