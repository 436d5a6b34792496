"""From run to run, against figures worked out by hand."""

from __future__ import annotations

import math

from walkgrade.school import cohort, improvement


def test_first_against_last(group) -> None:
    data = group(
        ("Ann", "CM?N", {"day": "2030-03-01"}),
        ("Bob", "CCCC"),
        ("Ann", "CCCC"),
        ("Ann", "MCC?", {"day": "2030-03-09"}),
        ("Cyd", "CMMM"),
        ("Cyd", "CMMM"),
    )
    table = improvement.changes(data)
    assert table.index.tolist() == ["ann", "cyd"]
    ann = table.loc["ann"]
    assert (ann["runs"], ann["first"], ann["last"], ann["best"]) == (3, 25.0, 50.0, 100.0)
    assert ann["change"] == 25.0
    assert (ann["first_day"], ann["last_day"]) == ("2030-03-01", "2030-03-09")
    # p1 slipped, p2 gained; q1 was doubtful first and q2 is doubtful last: neither counts.
    assert (ann["gained"], ann["slipped"]) == (1, 1)
    assert table.loc["cyd", ["change", "gained", "slipped"]].tolist() == [0.0, 0, 0]


def test_items_of_another_vehicle_are_no_gain(group) -> None:
    table = improvement.changes(group(("Ann", "CM--"), ("Ann", "CMCC")))
    assert table.loc["ann", ["gained", "slipped"]].tolist() == [0, 0]
    assert table.loc["ann", "change"] == 25.0


def test_two_runs_without_a_common_item(group) -> None:
    table = improvement.changes(group(("Ann", "CM--"), ("Ann", "--CC")))
    assert table.loc["ann", ["gained", "slipped"]].tolist() == [0, 0]


def test_nobody_ran_twice(group) -> None:
    assert improvement.changes(group(("Ann", "CCCC"), ("Bob", "CCCC"))).empty


def test_a_run_without_points(group) -> None:
    table = improvement.changes(group(("Ann", "----"), ("Ann", "CCCC")))
    assert math.isnan(table.loc["ann", "change"])


def test_all_first_runs_all_second_runs(group) -> None:
    data = group(("Ann", "CMMM"), ("Bob", "CCCM"), ("Ann", "CCCC"), ("Cyd", "CCMM"))
    table = improvement.by_turn(data.attempts)
    assert table.to_numpy().tolist() == [[3, 25.0, 50.0, 75.0], [1, 100.0, 100.0, 100.0]]


def test_groups_side_by_side(group) -> None:
    data = group(
        ("Ann", "CCCC", {"group": "Monday"}),
        ("Bob", "CMMM", {"group": "Monday"}),
        ("Cyd", "CC??", {"group": ""}),
    )
    table = improvement.groups(cohort.choose(data.attempts))
    assert table.index.tolist() == ["", "Monday"]
    assert table.to_numpy().tolist() == [
        [1, 1, 50.0, 50.0, 50.0, 0, 2.0],
        [2, 2, 25.0, 62.5, 100.0, 1, 0.0],
    ]
    assert improvement.groups(cohort.choose(data.attempts), 25)["reached"].tolist() == [1, 2]
