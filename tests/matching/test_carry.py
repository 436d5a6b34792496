""" "Same as the front": only where allowed, only what was earned before, never a defect."""

import pytest
from attachment_rows import CARRIED
from spoken_lines import finding, heard
from spoken_rows import Row, check, table

from walkgrade.matching.records import ItemOutcome

FRONT = "Front axle. The brake chamber is mounted tight, no cracks, not leaking."
SAME = "Now the rear axle. Brake chamber, same as the front."


@pytest.mark.parametrize("one", table(CARRIED))
def test_carry_over(one: Row) -> None:
    check(one)


def test_carried_requirement_names_its_source_and_is_less_sure() -> None:
    findings = heard(FRONT, SAME)
    front = finding(findings, "front-axle.brake-chamber")
    rear = finding(findings, "rear-axle.brake-chamber")
    assert rear.outcome is ItemOutcome.COMPLETE
    sure = {r.requirement.rsplit(".", 1)[1]: r for r in front.requirements if r.evidence}
    carried = {r.requirement.rsplit(".", 1)[1]: r for r in rear.requirements if r.evidence}
    assert carried.keys() == sure.keys() == {"leak", "undamaged", "secure"}
    for short, one in carried.items():
        assert one.carried_from == "front-axle.brake-chamber"
        assert one.confidence < sure[short].confidence
        assert "carries over" in one.reason
        assert sure[short].carried_from == ""


def test_own_words_are_not_called_carried() -> None:
    rear = finding(
        heard(FRONT, SAME, "The rear brake chamber is not leaking."), "rear-axle.brake-chamber"
    )
    carried = {r.requirement.rsplit(".", 1)[1]: r.carried_from for r in rear.requirements}
    assert carried["leak"] == ""
    assert carried["secure"] == "front-axle.brake-chamber"


def test_carried_item_is_never_better_than_its_source() -> None:
    findings = heard("Front axle. The brake chamber is not leaking.", SAME)
    for place in ("front-axle", "rear-axle"):
        assert finding(findings, f"{place}.brake-chamber").outcome is ItemOutcome.INCOMPLETE
