"""What a linked condition earns: sub-parts, echoes, presence, stated faults."""

import pytest
from attachment_rows import ECHOES, SUB_PARTS
from spoken_lines import finding, heard, remarks
from spoken_rows import Row, check, table
from statement_rows import FAULTS, OTHER, PRESENT

from walkgrade.matching.records import ItemOutcome, RemarkKind


@pytest.mark.parametrize("one", table(SUB_PARTS))
def test_sub_part(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(ECHOES))
def test_echo(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(PRESENT))
def test_presence(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(FAULTS))
def test_stated_fault(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(OTHER))
def test_rule_of_the_checklist(one: Row) -> None:
    check(one)


def test_fault_makes_the_item_wrong_and_says_what_to_do() -> None:
    findings = heard("The steering box is mounted tight, but it is leaking.")
    assert finding(findings, "front-axle.steering-box").outcome is ItemOutcome.WRONG
    (mark,) = [r for r in findings.remarks if r.kind is RemarkKind.DEFECT]
    assert mark.items == ("front-axle.steering-box",)
    assert "do not drive" in mark.note


def test_checking_for_a_fault_states_none() -> None:
    findings = heard("Checking the steering box for leaks.")
    assert RemarkKind.DEFECT not in remarks(findings)
