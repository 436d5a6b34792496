"""Where the time went.

Speech rate: 60 000 x words / speaking time in ms, with pauses of two seconds and more taken out.
"""

from __future__ import annotations

import grade_factories as make
import pytest

from walkgrade.grading.grade import grade
from walkgrade.grading.pace import measure_speech, section_spans, section_times
from walkgrade.grading.pace_records import RateBand
from walkgrade.grading.records import Policy
from walkgrade.matching.records import ItemOutcome

POLICY = Policy()


@pytest.mark.parametrize(
    ("spans", "speaking"),
    [
        (((0, 500), (500, 1_000)), 1_000),
        (((0, 500), (2_499, 3_000)), 3_000),  # a pause of 1 999 ms is part of speaking
        (((0, 500), (2_500, 3_000)), 1_000),  # one of 2 000 ms is not
        (((0, 1_000), (500, 1_500)), 1_500),  # overlapping words count once
        (((0, 1_000), (200, 300)), 1_000),
    ],
)
def test_speaking_time(spans: tuple[tuple[int, int], ...], speaking: int) -> None:
    speech = measure_speech(make.words(*spans), (), POLICY)
    assert speech.speaking_ms == speaking
    assert speech.rate_wpm == round(60_000 * len(spans) / speaking, 1)


def test_other_voices_are_not_the_trainees_pace() -> None:
    lines = (make.line("u1", 0, 1_000), make.line("u2", 1_000, 2_000, voice="other"))
    speech = measure_speech(make.words((0, 500), (1_200, 1_900), (2_000, 2_500)), lines, POLICY)
    assert speech.words == 2
    assert speech.speaking_ms == 2_500


def test_silences_over_eight_seconds_and_where() -> None:
    lines = (
        make.line("u1", 0, 1_000, section="engine"),
        make.line("u2", 9_500, 10_000),
        make.line("u3", 17_999, 18_500, section="cab"),
    )
    words = make.words((0, 1_000), (9_500, 10_000), (17_999, 18_500))
    speech = measure_speech(words, lines, POLICY)
    assert [(gap.start, gap.end, gap.section) for gap in speech.silences] == [
        (1_000, 9_500, "engine")
    ]


def test_another_voice_ends_a_silence() -> None:
    lines = (make.line("u1", 5_000, 6_000, voice="other"),)
    speech = measure_speech(make.words((0, 500), (5_000, 6_000), (9_000, 9_500)), lines, POLICY)
    assert speech.silences == ()


@pytest.mark.parametrize(
    "words",
    [make.transcript((0, 0), timed=False), make.transcript(), ()],
    ids=["no times", "no words", "nothing"],
)
def test_pace_not_known_is_not_zero(words: object) -> None:
    entry = make.item("engine.oil")
    result = grade(make.findings(make.found(entry)), make.checklist(entry), words)  # type: ignore[arg-type]
    pace = result.pace
    assert not pace.known
    assert (pace.elapsed_ms, pace.over_ms, pace.projected_ms) == (None, None, None)
    assert (pace.left_items, pace.points_at_budget, pace.speech.rate_wpm) == (None, None, None)
    assert pace.rate_band is RateBand.UNKNOWN
    assert result.sections[0].time_ms is None
    assert result.sections[0].over_ms is None
    assert pace.budget_ms == 600_000


def test_sections_last_until_the_next_one_begins() -> None:
    lines = (
        make.line("u1", 1_000, 2_000),  # before any section
        make.line("u2", 3_000, 4_000, section="engine"),
        make.line("u3", 5_000, 6_000),  # stays in the engine section
        make.line("u4", 9_000, 10_000, section="cab"),
        make.line("u5", 12_000, 13_000, section="engine"),
    )
    spans = section_spans(lines)
    assert [(row.section, row.start, row.end) for row in spans] == [
        ("engine", 3_000, 9_000),
        ("cab", 9_000, 12_000),
        ("engine", 12_000, 13_000),
    ]
    assert section_times(spans) == {"engine": 7_000, "cab": 3_000}
    assert section_spans(()) == ()


def _timed(budget_s: int, *moments: int | None, budgets: dict[str, int] | None = None):  # type: ignore[no-untyped-def]
    """Items engine.0, engine.1, cab.0, cab.1 first said at `moments`; the run ends at 100 s."""
    items = tuple(make.item(f"{zone}.part-{n}") for zone in ("engine", "cab") for n in range(2))
    rows = tuple(
        make.found(entry, ItemOutcome.MISSED if at is None else ItemOutcome.COMPLETE, at=at)
        for entry, at in zip(items, moments, strict=True)
    )
    listed = make.checklist(*items, budget_s=budget_s, budgets=budgets)
    return grade(make.findings(*rows), listed, make.words((0, 1_000), (99_000, 100_000))).pace


def test_within_the_budget_nothing_is_unsaid() -> None:
    pace = _timed(100, 1_000, 20_000, 50_000, None)
    assert (pace.over_ms, pace.unsaid, pace.points_at_budget) == (0, (), None)


def test_what_was_unsaid_when_the_budget_ran_out() -> None:
    pace = _timed(50, 1_000, 49_500, 50_000, None)
    assert pace.over_ms == 50_000
    assert pace.budget_end == 50_000
    # Begun before the end but complete half a second after it: said, not earned.
    assert pace.unsaid == ("cab.part-0", "cab.part-1")
    assert pace.points_at_budget == 1


def test_the_budget_starts_with_the_first_word() -> None:
    entry = make.item("engine.oil")
    result = grade(
        make.findings(make.found(entry, at=62_000)),
        make.checklist(entry, budget_s=10),
        make.words((60_000, 61_000), (62_000, 63_000)),
    )
    assert result.pace.budget_end == 70_000
    assert result.pace.over_ms == 0


@pytest.mark.parametrize(
    ("moments", "left", "projected"),
    [
        ((1_000, 20_000, 50_000, 90_000), 0, 100_000),
        # the cab section (half the budget) was never reached: as long again
        ((1_000, 20_000, None, None), 2, 200_000),
        # half of the cab section is left: 3/4 of the budget took 100 s
        ((1_000, 20_000, 50_000, None), 1, 133_333),
        # a gap before the last item heard is a miss, not something still to come
        ((1_000, None, None, 90_000), 0, 100_000),
    ],
)
def test_projected_finish(moments: tuple[int | None, ...], left: int, projected: int) -> None:
    pace = _timed(200, *moments)
    assert (pace.left_items, pace.projected_ms) == (left, projected)


@pytest.mark.parametrize(
    ("count", "band"),
    [(99, RateBand.SLOWER), (100, RateBand.WITHIN), (150, RateBand.WITHIN), (151, RateBand.FASTER)],
)
def test_rate_against_the_suggested_band(count: int, band: RateBand) -> None:
    width = 60_000 / count
    spans = [(round(n * width), round((n + 1) * width)) for n in range(count)]
    pace = grade(make.findings(), make.checklist(), make.words(*spans)).pace
    assert pace.speech.rate_wpm == pytest.approx(count)
    assert pace.rate_band is band
    assert "not a standard" in pace.rate_note
    assert "Doc 9432" in pace.rate_note
    assert "second hand" in pace.rate_note
