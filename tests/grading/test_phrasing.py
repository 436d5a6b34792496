"""Weak phrasing."""

from __future__ import annotations

import grade_factories as make
import pytest

from walkgrade.grading.grade import grade
from walkgrade.grading.phrasing import ADVICE
from walkgrade.matching.records import ItemOutcome, RemarkKind

OIL = make.item("engine.oil", title="Oil level")


@pytest.mark.parametrize("kind", list(ADVICE))
def test_each_kind_comes_with_advice(kind: RemarkKind) -> None:
    found = make.findings(make.found(OIL), remarks=(make.remark(kind, OIL.id),))
    (group,) = grade(found, make.checklist(OIL), ()).phrasing
    assert (group.kind, group.advice, len(group.remarks)) == (kind, ADVICE[kind], 1)


def test_a_bare_name_is_a_part_without_condition() -> None:
    found = make.findings(make.found(OIL, ItemOutcome.NAMED_ONLY, at=3_000))
    (group,) = grade(found, make.checklist(OIL), ()).phrasing
    assert group.kind is RemarkKind.NO_CONDITION
    assert group.remarks[0].items == (OIL.id,)
    assert group.remarks[0].evidence.start == 3_000


def test_a_bare_name_is_told_once() -> None:
    found = make.findings(
        make.found(OIL, ItemOutcome.NAMED_ONLY),
        remarks=(make.remark(RemarkKind.NO_CONDITION, OIL.id),),
    )
    (group,) = grade(found, make.checklist(OIL), ()).phrasing
    assert len(group.remarks) == 1


def test_remarks_come_in_time_order() -> None:
    marks = tuple(make.remark(RemarkKind.HEDGE, start=at) for at in (5_000, 1_000, 3_000))
    (group,) = grade(make.findings(remarks=marks), make.checklist(), ()).phrasing
    assert [mark.evidence.start for mark in group.remarks] == [1_000, 3_000, 5_000]


@pytest.mark.parametrize("kind", [RemarkKind.DEFECT, RemarkKind.PROFILE])
def test_defects_and_profile_clashes_are_notices(kind: RemarkKind) -> None:
    result = grade(make.findings(remarks=(make.remark(kind),)), make.checklist(), ())
    assert result.phrasing == ()
    assert [mark.kind for mark in result.notices] == [kind]


def test_a_defect_told_again_at_once_is_one_notice_and_later_another() -> None:
    marks = tuple(
        make.remark(RemarkKind.DEFECT, OIL.id, start=at) for at in (1_000, 9_000, 20_000, 90_000)
    )
    other = make.remark(RemarkKind.DEFECT, "another.item", start=2_000)
    told = grade(make.findings(remarks=(*marks, other)), make.checklist(OIL), ()).notices
    assert [mark.evidence.start for mark in told] == [1_000, 2_000, 90_000]


def test_every_kind_is_either_weak_phrasing_or_a_notice() -> None:
    result = grade(
        make.findings(remarks=tuple(make.remark(kind) for kind in RemarkKind)),
        make.checklist(),
        (),
    )
    told = [group.kind for group in result.phrasing] + [mark.kind for mark in result.notices]
    assert sorted(told) == sorted(RemarkKind)
