"""Blanket claims earn nothing, hedges weaken; both are remarked."""

import pytest
from spoken_lines import earned, finding, heard, remarks, unclear
from spoken_rows import Row, check, table
from statement_rows import BLANKET, HEDGED

from walkgrade.matching.records import RemarkKind


@pytest.mark.parametrize("one", table(BLANKET))
def test_blanket_claim_earns_nothing(one: Row) -> None:
    check(one)


@pytest.mark.parametrize("one", table(BLANKET))
def test_blanket_claim_is_remarked(one: Row) -> None:
    assert RemarkKind.BLANKET in remarks(heard(*one.lines))


@pytest.mark.parametrize("one", table(HEDGED))
def test_hedge(one: Row) -> None:
    check(one)


@pytest.mark.parametrize(
    ("line", "kinds"),
    [
        ("The steering box is secure.", set()),
        ("I think the steering box is secure.", {RemarkKind.HEDGE}),
        ("Front axle. There is enough tread on it.", {RemarkKind.VAGUE}),
        ("Front axle. Tread depth is at least four thirty-seconds.", set()),
        ("Secure and not leaking.", {RemarkKind.NO_PART}),
        ("Steering box, everything looks good.", set()),
        ("The steering box is leaking.", {RemarkKind.DEFECT}),
        ("It is cold out today, I think.", set()),
    ],
)
def test_remark_kinds(line: str, kinds: set[RemarkKind]) -> None:
    assert remarks(heard(line)) == kinds


def test_each_hedge_makes_the_evidence_weaker() -> None:
    sure = []
    for line in (
        "The steering box is secure.",
        "I think the steering box is secure.",
        "I guess maybe the steering box is secure.",
    ):
        box = finding(heard(line), "front-axle.steering-box")
        (secure,) = [r for r in box.requirements if r.requirement.endswith(".secure")]
        sure.append(secure.evidence[0].confidence)
    assert sure[0] > sure[1] > sure[2]


def test_a_guess_is_sent_to_listening_not_dropped() -> None:
    findings = heard("I guess maybe the steering box is secure.")
    assert unclear(findings) == {"front-axle.steering-box.secure"}
    assert earned(findings) == set()


def test_remark_quotes_its_words() -> None:
    (mark,) = heard("I think the steering box is secure.").remarks
    assert mark.evidence.quote == "I think"
    assert mark.items == ("front-axle.steering-box",)
