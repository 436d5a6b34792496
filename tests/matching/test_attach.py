"""Conditions before, after and between the parts they are said of."""

import pytest
from attachment_rows import ATTACHED
from spoken_lines import finding, heard, named
from spoken_rows import Row, check, table

from walkgrade.matching.records import ItemOutcome


@pytest.mark.parametrize("one", table(ATTACHED))
def test_condition_reaches_its_part_and_no_other(one: Row) -> None:
    check(one)


def test_bare_name_names_and_earns_nothing() -> None:
    box = finding(heard("Steering box."), "front-axle.steering-box")
    assert box.outcome is ItemOutcome.NAMED_ONLY
    assert [e.quote for e in box.named] == ["Steering box."]


def test_anchor_is_not_named() -> None:
    assert named(heard("The steering box is bolted tight to the frame.")) == {
        "front-axle.steering-box"
    }


def test_evidence_quotes_the_condition_with_its_time() -> None:
    findings = heard("Steering box, not leaking.")
    box = finding(findings, "front-axle.steering-box")
    (leak,) = [r for r in box.requirements if r.requirement.endswith(".leak")]
    (evidence,) = leak.evidence
    assert (evidence.utterance, evidence.quote) == ("u1", "leaking.")
    # pause of 700 ms, then words of 400 ms: the fourth word
    assert (evidence.start, evidence.end) == (1900, 2300)
