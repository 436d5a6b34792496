"""What a group covers, against tables worked out by hand."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from group_factories import LETTERS, number
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from walkgrade.grading.records import Policy
from walkgrade.school import cohort

# Three trainees; Ann and Bob ran twice. Ann's bus has no q2 in her second run.
CLASS = (
    ("Ann", "CMI?"),
    ("Bob", "CCCM"),
    ("Ann", "CCM-"),
    ("Cyd", "NWMC"),
    ("Bob", "CIMM"),
)


def test_runs_are_numbered_by_time_and_those_without_come_first(group) -> None:
    data = group(
        ("Ann", "CCCC", {"when": 20.0}),
        ("Ann", "CCCC", {"when": math.nan, "file": "b.json"}),
        ("Ann", "CCCC", {"when": 10.0}),
        ("Ann", "CCCC", {"when": math.nan, "file": "a.json"}),
    )
    runs = cohort.in_turn(data.attempts)
    assert runs["run"].tolist() == [3, 1, 2, 0]
    assert runs["turn"].tolist() == [1, 2, 3, 4]
    assert runs["turns"].tolist() == [4] * 4


@pytest.mark.parametrize(
    ("which", "runs"), [("latest", [2, 4, 3]), ("best", [2, 1, 3]), ("all", [0, 2, 1, 4, 3])]
)
def test_which_runs_count(group, which: str, runs: list[int]) -> None:
    # Ann: 25 % then 67 %; Bob: 75 % then 25 %.
    assert cohort.choose(group(*CLASS).attempts, which)["run"].tolist() == runs


def test_the_better_of_two_equal_runs_is_the_one_with_more_to_hear_then_the_later(group) -> None:
    data = group(("Ann", "CM?M"), ("Ann", "CMMM"), ("Bob", "CMMM"), ("Bob", "MCMM"))
    assert cohort.choose(data.attempts, "best")["run"].tolist() == [0, 3]


def test_a_run_without_points_is_never_the_best(group) -> None:
    data = group(("Ann", "MMMM"), ("Ann", "----"))
    assert cohort.choose(data.attempts, "best")["run"].tolist() == [0]


def test_coverage_of_one_run_each(group) -> None:
    data = group(*CLASS)
    table = cohort.coverage(data, cohort.choose(data.attempts, "latest"))
    assert table.columns.tolist() == [
        "title", "section_title", "critical", "runs", "complete", "ann", "bob", "cyd",
    ]  # fmt: skip
    assert table.drop(columns=["title", "section_title", "critical"]).to_numpy().tolist() == [
        [3, 2, "complete", "complete", "named only"],
        [3, 1, "complete", "incomplete", "wrong"],
        [3, 0, "missed", "missed", "missed"],
        [2, 1, "", "missed", "complete"],
    ]
    assert table.index.tolist() == ["p1", "p2", "q1", "q2"]


def test_coverage_of_all_runs(group) -> None:
    data = group(*CLASS)
    table = cohort.coverage(data, cohort.choose(data.attempts, "all"))
    assert table[["runs", "complete"]].to_numpy().tolist() == [[5, 4], [5, 2], [5, 1], [4, 1]]
    assert table["ann"].tolist() == ["2 of 2", "1 of 2", "0 of 2", "0 of 1"]
    assert table["bob"].tolist() == ["2 of 2", "1 of 2", "1 of 2", "0 of 2"]
    assert table["cyd"].tolist() == ["0 of 1", "0 of 1", "0 of 1", "1 of 1"]


def test_an_item_no_run_of_a_trainee_asks_for_is_empty(group) -> None:
    data = group(("Ann", "CC-M"), ("Ann", "CC-M"), ("Bob", "CCCC"))
    table = cohort.coverage(data, cohort.choose(data.attempts, "all"))
    assert table["ann"].tolist() == ["2 of 2", "2 of 2", "", "0 of 2"]
    assert table["bob"].tolist() == ["1 of 1"] * 4


def test_a_trainee_called_like_a_column(group) -> None:
    data = group(("runs", "CCCM"), ("title", "MMMM"))
    table = cohort.coverage(data, cohort.choose(data.attempts))
    assert table.iloc[:, 3].tolist() == [2] * 4
    assert table.iloc[:, 5].tolist() == ["complete", "complete", "complete", "missed"]


def test_sections(group) -> None:
    data = group(*CLASS)
    table = cohort.sections(data, cohort.choose(data.attempts, "latest"))
    assert table.index.tolist() == ["Section p", "Section q", "All items"]
    assert table.columns.tolist() == ["ann", "bob", "cyd", "All trainees"]
    expected = [[100, 50, 0, 50], [0, 0, 50, 20], [200 / 3, 25, 25, 400 / 11]]
    for row, values in zip(table.to_numpy().tolist(), expected, strict=True):
        assert row == pytest.approx(values)


def test_a_section_the_vehicle_lacks_is_not_known(group) -> None:
    data = group(("Ann", "CC--"), ("Bob", "CCMM"))
    table = cohort.sections(data, cohort.choose(data.attempts))
    assert math.isnan(table.loc["Section q", "ann"])
    assert table.loc["Section q", "All trainees"] == 0


def test_what_is_missed(group) -> None:
    data = group(*CLASS)
    table = cohort.missed(data, cohort.choose(data.attempts, "all"))
    assert table.index.tolist() == ["q1", "p2", "q2", "p1"]
    columns = ["runs", *cohort.OUTCOMES, "lacking", "judged"]
    assert table[columns].to_numpy().tolist() == [
        [5, 1, 1, 0, 3, 0, 0, 4, 5],
        [5, 2, 1, 0, 1, 1, 0, 3, 5],
        [4, 1, 0, 0, 2, 0, 1, 2, 3],
        [5, 4, 0, 1, 0, 0, 0, 1, 5],
    ]
    assert table["share"].tolist() == pytest.approx([80, 60, 200 / 3, 20])


def test_what_is_only_to_be_heard_has_no_share(group) -> None:
    data = group(("Ann", "?CCC"))
    row = cohort.missed(data, cohort.choose(data.attempts)).loc["p1"]
    assert row["lacking"] == 0
    assert math.isnan(row["share"])


def test_numbers_by_run(group) -> None:
    numbers = [
        number(0, "tread", "right"),
        number(0, "tread", "out of range", "2/32", repaired=True),
        number(1, "tread", "out of range", "2/32"),
        number(2, "tread", "wrong direction", "no more than  4/32"),
        number(2, "tread", "out of range", " 2/32 "),
        number(3, "tread", "not given"),
        number(0, "leak", "right"),
        number(1, "leak", "not given"),
    ]
    data = group(*(("Ann", "CCCC"),) * 4, numbers=numbers)
    chosen = cohort.choose(data.attempts, "all")
    table = cohort.number_calls(data, chosen)
    assert table.index.tolist() == ["tread", "leak"]
    assert table[["runs", "right", "wrong", "not_given"]].to_numpy().tolist() == [
        [4, 1, 2, 1],
        [2, 1, 0, 1],
    ]
    said = cohort.wrong_values(data, chosen)
    assert said[["said", "verdict", "times"]].to_numpy().tolist() == [
        ["2/32", "out of range", 3],
        ["no more than 4/32", "wrong direction", 1],
    ]


def test_a_group_without_numbers(group) -> None:
    data = group(("Ann", "CCCC"))
    chosen = cohort.choose(data.attempts)
    assert cohort.number_calls(data, chosen).empty
    assert cohort.wrong_values(data, chosen).empty


@pytest.mark.parametrize(
    ("letters", "target", "state"),
    [
        ("CCCC", 100, "reached"),
        ("CCC?", 100, "open"),
        ("CCCM", 75, "reached"),
        ("CCCM", 76, "not reached"),
        ("CC?M", 75, "open"),
        ("MMMM", 0, "reached"),
        ("----", 80, ""),
    ],
)
def test_standing_against_the_school_s_own_target(
    group, letters: str, target: int, state: str
) -> None:
    own = group(("Ann", letters, {"target": target})).attempts
    assert cohort.standing(own).tolist() == [state]
    other = group(("Ann", letters, {"target": 1})).attempts
    assert cohort.standing(other, target).tolist() == [state]


@settings(deadline=None)
@given(points=st.integers(0, 150), doubt=st.integers(0, 20), target=st.integers(0, 100))
def test_standing_is_that_of_the_grade(points: int, doubt: int, target: int) -> None:
    """The same answer as a single run's report gives."""
    from group_factories import attempt

    from walkgrade.grading.policy import target as grade_target
    from walkgrade.grading.records import Tally, TargetState
    from walkgrade.school.frames import frames

    possible = 170
    tally = Tally(
        items=possible, points=points, points_if_confirmed=points + doubt, points_possible=possible
    )
    words = {
        TargetState.MET: "reached",
        TargetState.NOT_MET: "not reached",
        TargetState.OPEN: "open",
    }
    row = attempt(
        0, points=points, points_high=points + doubt, points_possible=possible, target=target
    )
    expected = words[grade_target(Policy(target_percent=target), tally).state]
    assert cohort.standing(frames([row], []).attempts).tolist() == [expected]


runs = st.lists(
    st.tuples(st.sampled_from("ABCD"), st.text("CINMW?-", min_size=4, max_size=4)),
    min_size=1,
    max_size=12,
).filter(lambda rows: any(set(letters) != {"-"} for _, letters in rows))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(rows=runs, which=st.sampled_from(cohort.CHOICES))
def test_counts_are_those_of_plain_loops(group, rows: list[tuple[str, str]], which: str) -> None:
    data = group(*rows)
    chosen = cohort.choose(data.attempts, which)
    picked = [rows[run] for run in chosen["run"]]
    table = cohort.missed(data, chosen)
    for place, item in enumerate(("p1", "p2", "q1", "q2")):
        told = Counter(letters[place] for _, letters in picked if letters[place] != "-")
        if not told:
            assert item not in table.index
            continue
        assert table.loc[item, "runs"] == sum(told.values())
        for letter, word in LETTERS.items():
            assert table.loc[item, word] == told[letter]
        assert table.loc[item, "lacking"] == sum(told[letter] for letter in "INMW")


def test_checklists_most_runs_first(group) -> None:
    data = group(
        ("Ann", "CCCC", {"checklist": "b"}),
        ("Bob", "CCCC", {"checklist": "a"}),
        ("Cyd", "CCCC", {"checklist": "c"}),
        ("Dee", "CCCC", {"checklist": "c"}),
    )
    assert cohort.checklists(data.attempts) == ("c", "a", "b")
