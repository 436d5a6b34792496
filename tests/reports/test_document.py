"""The grade document: what is written can be read, checked, and graded again."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from example_run import example

from walkgrade.errors import InputError
from walkgrade.grading.records import Review
from walkgrade.matching.records import ItemOutcome
from walkgrade.reports.document import (
    FORMAT,
    STATEMENT,
    parse_document,
    read_document,
    to_document,
    write_document,
)
from walkgrade.reports.restore import checklist_of, findings_of, policy_of, regrade, speech_of


def test_written_document_reads_back(tmp_path: Path) -> None:
    document = example().document()
    write_document(tmp_path / "grade.json", document)
    assert read_document(tmp_path / "grade.json") == document


def test_statement_stands_in_every_document() -> None:
    assert example().document()["statement"] == STATEMENT


def test_findings_policy_and_speech_come_back() -> None:
    run = example()
    document = run.document()
    assert findings_of(document) == run.findings
    assert policy_of(document) == run.grade.policy
    assert speech_of(document) == run.grade.pace.speech
    assert [item.id for item in checklist_of(document).items] == [
        row.item for row in run.findings.items
    ]


def test_grading_again_without_a_review_changes_nothing() -> None:
    document = example().document()
    assert regrade(document, ()) == document


def test_review_changes_the_points_and_keeps_both_calls() -> None:
    document = example().document()
    old = next(row for row in document["items"] if row["outcome"] == "needs listening")
    review = Review(
        item=old["id"],
        old=ItemOutcome.NEEDS_LISTENING,
        new=ItemOutcome.COMPLETE,
        who="Ada Quill",
        when="2030-05-02T10:00:00",
        why="Clear on the second hearing.",
    )
    again = regrade(document, (review,), graded_at="2030-05-02T10:00:01")
    new = next(row for row in again["items"] if row["id"] == old["id"])
    assert (new["outcome"], new["heard"], new["reviewed"]) == ("complete", "needs listening", True)
    assert again["totals"]["points"] == document["totals"]["points"] + 1
    assert again["totals"]["points_if_confirmed"] == document["totals"]["points_if_confirmed"]
    assert again["reviews"][-1]["old"] == "needs listening"
    assert again["provenance"]["graded_at"] == "2030-05-02T10:00:01"
    # A second change of the same item is added, the first one stays on record.
    back = replace(review, old=ItemOutcome.COMPLETE, new=ItemOutcome.MISSED)
    third = regrade(again, (back,))
    assert len(third["reviews"]) == 2
    assert third["totals"]["points"] == document["totals"]["points"]


def test_untimed_document_has_null_moments() -> None:
    run = example(timed=False)
    document = run.document()
    parse_document(json.dumps(document))
    assert document["pace"]["known"] is False
    assert document["pace"]["elapsed_ms"] is None
    assert all(row["start_ms"] is None for row in document["lines"])
    assert all(row["start_ms"] is None for row in document["listening"])
    assert all(row["time_ms"] is None for row in document["sections"])
    assert regrade(document, ()) == document


def _change(path: tuple[Any, ...], value: Any) -> str:
    document = copy.deepcopy(example().document())
    spot: Any = document
    for key in path[:-1]:
        spot = spot[key]
    spot[path[-1]] = value
    return json.dumps(document)


@pytest.mark.parametrize(
    ("path", "value", "code", "told"),
    [
        (("format",), "other", "I62", FORMAT),
        (("format_version",), 2, "I63", "version 2"),
        (("extra",), 1, "I64", "$.extra"),
        (("items", 0, "outcome"), "passed", "I64", "$.items[0].outcome"),
        (("items", 0, "section"), "nowhere", "I64", "no section 'nowhere'"),
        (("items", 1, "confidence"), 1.5, "I64", "$.items[1].confidence"),
        (("items", 0, "points"), "1", "I64", "$.items[0].points"),
        (("totals", "points"), -1, "I64", "$.totals.points"),
        (("pace", "known"), "yes", "I64", "$.pace.known"),
        (("lines", 0, "voice"), "radio", "I64", "$.lines[0].voice"),
        (("reviews",), [{"item": "x"}], "I64", "$.reviews[0].old"),
    ],
)
def test_faulty_documents_are_refused(
    path: tuple[Any, ...], value: Any, code: str, told: str
) -> None:
    with pytest.raises(InputError) as caught:
        parse_document(_change(path, value))
    assert caught.value.code == code
    assert told in str(caught.value)


def test_every_fault_is_told_at_once() -> None:
    document = example().document()
    document = copy.deepcopy(document)
    document["items"][0]["outcome"] = "passed"
    del document["totals"]["items"]
    with pytest.raises(InputError) as caught:
        parse_document(json.dumps(document))
    assert "$.items[0].outcome" in str(caught.value)
    assert "$.totals.items" in str(caught.value)


def test_doubled_item_is_refused() -> None:
    document = copy.deepcopy(example().document())
    document["items"].append(document["items"][0])
    with pytest.raises(InputError, match="stands twice"):
        parse_document(json.dumps(document))


def test_unreadable_files(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read_document(tmp_path / "none.json")
    assert caught.value.code == "I60"
    (tmp_path / "bytes.json").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(InputError) as caught:
        read_document(tmp_path / "bytes.json")
    assert caught.value.code == "I60"
    (tmp_path / "text.json").write_text("{", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_document(tmp_path / "text.json")
    assert caught.value.code == "I61"


def test_same_grade_gives_the_same_bytes() -> None:
    run = example()
    first, second = (
        to_document(run.grade, run.findings, run.checklist, run.source, run.attempt)
        for _ in range(2)
    )
    assert json.dumps(first) == json.dumps(second)
