"""Points, sections, reviews, and the items a person must hear."""

from __future__ import annotations

import grade_factories as make
import pytest

from walkgrade.errors import InputError
from walkgrade.grading.grade import grade
from walkgrade.grading.records import Grade, Policy, Review, TargetState
from walkgrade.matching.records import ItemOutcome


def _grade(*outcomes: ItemOutcome, policy: Policy | None = None, **values: object) -> Grade:
    items = tuple(make.item(f"engine.part-{n}") for n in range(len(outcomes)))
    rows = tuple(make.found(*pair) for pair in zip(items, outcomes, strict=True))
    return grade(
        make.findings(*rows),
        make.checklist(*items),
        make.words((0, 500), (1_000, 1_500)),
        policy or Policy(),
        **values,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    ("outcome", "low", "high"),
    [
        (ItemOutcome.COMPLETE, 1, 1),
        (ItemOutcome.INCOMPLETE, 0, 0),
        (ItemOutcome.NAMED_ONLY, 0, 0),
        (ItemOutcome.MISSED, 0, 0),
        (ItemOutcome.WRONG, 0, 0),
        (ItemOutcome.NEEDS_LISTENING, 0, 1),
    ],
)
def test_only_complete_items_earn(outcome: ItemOutcome, low: int, high: int) -> None:
    totals = _grade(outcome).totals
    assert (totals.points, totals.points_if_confirmed, totals.points_possible) == (low, high, 1)


def test_counts_and_percent() -> None:
    totals = _grade(*ItemOutcome).totals
    assert totals.items == 6
    assert (totals.complete, totals.incomplete, totals.named_only) == (1, 1, 1)
    assert (totals.missed, totals.wrong, totals.needs_listening) == (1, 1, 1)
    assert (totals.percent, totals.percent_if_confirmed) == (16.7, 33.3)
    assert (totals.requirements, totals.requirements_said, totals.requirements_unclear) == (6, 1, 1)


def test_optional_requirements_are_not_counted() -> None:
    entry = make.item(
        "engine.oil",
        requirements=(
            make.requirement("engine.oil.level"),
            make.requirement("engine.oil.colour", required=False),
        ),
    )
    result = grade(make.findings(make.found(entry)), make.checklist(entry), ())
    assert result.totals.requirements == 1


@pytest.mark.parametrize(
    ("complete", "doubtful", "state"),
    [
        (4, 0, TargetState.MET),
        (3, 1, TargetState.OPEN),
        (3, 0, TargetState.NOT_MET),
    ],
)
def test_target_of_eighty_percent_of_five(complete: int, doubtful: int, state: TargetState) -> None:
    outcomes = [ItemOutcome.COMPLETE] * complete + [ItemOutcome.NEEDS_LISTENING] * doubtful
    outcomes += [ItemOutcome.MISSED] * (5 - len(outcomes))
    target = _grade(*outcomes).target
    assert (target.points_needed, target.state) == (4, state)
    assert "not an official" in target.owner


def test_target_rounds_up_to_whole_points() -> None:
    # 80 % of 3 points is 2.4: two points are not enough.
    target = _grade(ItemOutcome.COMPLETE, ItemOutcome.COMPLETE, ItemOutcome.MISSED).target
    assert (target.points_needed, target.state) == (3, TargetState.NOT_MET)


def test_nothing_to_grade() -> None:
    result = grade(make.findings(), make.checklist(), ())
    assert result.totals.percent is None
    assert result.target.state is TargetState.NOTHING
    assert result.sections == ()


def test_late_items_earn_and_are_marked() -> None:
    entry = make.item("cab.horn")
    found = make.findings(make.found(entry, late=True))
    listed = make.checklist(entry)
    counted = grade(found, listed, ())
    assert (counted.totals.points, counted.totals.late, counted.items[0].late) == (1, 1, True)
    strict = grade(found, listed, (), Policy(late_earns=False))
    assert (strict.totals.points, strict.totals.points_if_confirmed) == (0, 0)
    assert strict.totals.complete == 1


def test_late_doubtful_items_stay_out_of_the_upper_bound_of_a_strict_policy() -> None:
    entry = make.item("cab.horn")
    found = make.findings(make.found(entry, ItemOutcome.NEEDS_LISTENING, late=True))
    assert grade(found, make.checklist(entry), ()).totals.points_if_confirmed == 1
    strict = grade(found, make.checklist(entry), (), Policy(late_earns=False))
    assert strict.totals.points_if_confirmed == 0


def test_points_of_single_items() -> None:
    policy = Policy(points_per_item=2, item_points=(("engine.part-0", 5),))
    totals = _grade(ItemOutcome.COMPLETE, ItemOutcome.COMPLETE, policy=policy).totals
    assert (totals.points, totals.points_possible) == (7, 7)


@pytest.mark.parametrize(
    "values",
    [
        {"target_percent": 101},
        {"points_per_item": -1},
        {"silence_ms": 0},
        {"rate_low": 160},
        {"drills": 51},
        {"item_points": (("a", 1_000),)},
    ],
)
def test_policies_out_of_range_are_refused(values: dict[str, object]) -> None:
    with pytest.raises(InputError) as caught:
        Policy(**values)  # type: ignore[arg-type]
    assert caught.value.code == "I70"


def test_sections_without_applicable_items_are_left_out() -> None:
    oil, horn = make.item("engine.oil"), make.item("cab.horn")
    result = grade(make.findings(make.found(oil)), make.checklist(oil, horn), ())
    assert [row.section for row in result.sections] == ["engine"]


def test_sections_add_up_to_the_totals() -> None:
    oil, belt, horn = make.item("engine.oil"), make.item("engine.belt"), make.item("cab.horn")
    rows = (make.found(oil), make.found(belt, ItemOutcome.MISSED), make.found(horn))
    result = grade(make.findings(*rows), make.checklist(oil, belt, horn), ())
    assert [row.tally.points for row in result.sections] == [1, 1]
    assert sum(row.tally.items for row in result.sections) == result.totals.items
    assert result.totals.points == 2


def test_listening_plays_the_unclear_words_in_order() -> None:
    oil, belt, horn = make.item("engine.oil"), make.item("engine.belt"), make.item("cab.horn")
    rows = (
        make.found(oil, ItemOutcome.NEEDS_LISTENING, at=9_000),
        make.found(belt, ItemOutcome.NEEDS_LISTENING, at=None),
        make.found(horn, ItemOutcome.NEEDS_LISTENING, at=2_000),
    )
    result = grade(
        make.findings(*rows),
        make.checklist(oil, belt, horn),
        make.words((0, 500), (10_000, 11_000)),
    )
    assert [(row.item, row.start) for row in result.listening] == [
        ("cab.horn", 2_000),
        ("engine.oil", 9_000),
        ("engine.belt", None),
    ]
    assert result.listening[0].requirements == ("cab.horn.secure",)


def test_a_close_call_counts_and_is_to_be_heard_until_someone_did() -> None:
    oil = make.item("engine.oil")
    found = make.findings(make.found(oil, close_call=True, at=9_000))
    words = make.words((0, 500), (9_000, 10_000))
    result = grade(found, make.checklist(oil), words)
    assert (result.totals.points, result.totals.close_calls) == (1, 1)
    assert [(row.item, row.counted, row.start) for row in result.listening] == [
        ("engine.oil", True, 9_000)
    ]
    assert result.listening[0].requirements == ("engine.oil.secure",)
    for call, points in ((ItemOutcome.COMPLETE, 1), (ItemOutcome.MISSED, 0)):
        heard = grade(found, make.checklist(oil), words, reviews=(_review("engine.oil", call),))
        assert (heard.totals.points, heard.totals.close_calls, heard.listening) == (points, 0, ())


def test_untimed_runs_have_no_moment_to_play() -> None:
    oil = make.item("engine.oil")
    result = grade(
        make.findings(make.found(oil, ItemOutcome.NEEDS_LISTENING)),
        make.checklist(oil),
        make.transcript((0, 0), timed=False),
    )
    assert result.listening[0].start is None
    assert result.items[0].first_at is None


def _review(item: str, new: ItemOutcome) -> Review:
    return Review(
        item=item, old=ItemOutcome.MISSED, new=new, who="A", when="2030-01-01", why="heard it"
    )


def test_the_last_review_counts() -> None:
    calls = (
        _review("engine.part-0", ItemOutcome.COMPLETE),
        _review("engine.part-0", ItemOutcome.WRONG),
    )
    result = _grade(ItemOutcome.MISSED, reviews=calls)
    row = result.items[0]
    assert (row.outcome, row.heard, row.reviewed) == (ItemOutcome.WRONG, ItemOutcome.MISSED, True)
    assert result.totals.points == 0
    assert result.reviews == calls


def test_a_confirmed_item_has_nothing_missing() -> None:
    result = _grade(ItemOutcome.MISSED, reviews=(_review("engine.part-0", ItemOutcome.COMPLETE),))
    assert result.items[0].missing == ()
    assert result.totals.requirements_said == 1


def test_reviews_of_unknown_items_are_refused() -> None:
    with pytest.raises(InputError) as caught:
        _grade(ItemOutcome.MISSED, reviews=(_review("no.such", ItemOutcome.COMPLETE),))
    assert caught.value.code == "I72"


@pytest.mark.parametrize("values", [{"checklist": "other"}, {}])
def test_findings_of_another_checklist_are_refused(values: dict[str, str]) -> None:
    stranger = make.item("moon.dust")
    with pytest.raises(InputError) as caught:
        grade(make.findings(make.found(stranger), **values), make.checklist(), ())
    assert caught.value.code == "I71"
