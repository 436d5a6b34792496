"""Who counts and what counts: voices, other vehicles, explanations, late additions."""

import pytest
from spoken_lines import finding, heard, remarks
from spoken_rows import Row, check, table
from statement_rows import ELSEWHERE, EXPLAINED, LATE, VOICES

from walkgrade.matching.records import RemarkKind


@pytest.mark.parametrize("one", table(VOICES))
def test_only_the_trainee_earns(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(ELSEWHERE))
def test_another_vehicle_earns_nothing(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(EXPLAINED))
def test_explanation_earns_nothing(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(LATE))
def test_late_addition_earns(one: Row) -> None:
    check(one)


def test_late_addition_is_marked() -> None:
    findings = heard(
        "The steering box is secure.",
        "At the rear axle now. Brake drum, no cracks.",
        "I forgot to say, the power steering hoses are not leaking.",
    )
    assert finding(findings, "front-axle.steering-hoses").late
    assert not finding(findings, "front-axle.steering-box").late
    assert not finding(findings, "rear-axle.brake-drum").late


def test_other_voice_is_shown_but_touches_nothing() -> None:
    findings = heard("examiner: The horn works.", "trainee: Steering box, not leaking.")
    other, mine = findings.lines
    assert (other.voice, other.items, other.place) == ("other", (), "")
    assert (mine.voice, mine.items) == ("trainee", ("front-axle.steering-box",))


def test_other_voice_makes_no_remark() -> None:
    findings = heard("examiner: I think everything looks good here.", "trainee: Steering box.")
    assert RemarkKind.HEDGE not in remarks(findings)
    assert RemarkKind.BLANKET not in remarks(findings)


@pytest.mark.parametrize("lines", [(), ("examiner: Start when you like.",)])
def test_talk_without_a_trainee_misses_everything(lines: tuple[str, ...]) -> None:
    findings = heard(*lines)
    assert {one.outcome for one in findings.items} == {"missed"}
    assert findings.visits == ()
    assert findings.numbers == findings.remarks == ()
