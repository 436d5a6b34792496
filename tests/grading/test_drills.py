"""What to rehearse next, and the sentence to say."""

from __future__ import annotations

import grade_factories as make
import pytest

from walkgrade.grading.drills import join, sentence
from walkgrade.grading.grade import grade
from walkgrade.grading.records import DrillKind, Policy
from walkgrade.matching.records import ItemOutcome, NumberVerdict, StepState

LEAK = make.item(
    "brakes.leak",
    title="Leak test, brakes applied",
    step=2,
    critical=True,
    requirements=(
        make.requirement("brakes.leak.held", "full pedal held"),
        make.requirement("brakes.leak.drop", "at most 3 psi in 1 minute", limit=make.LEAK),
    ),
)
CHARGE = make.item("brakes.charge", title="Charge the system", step=1, critical=True)
TYRE = make.item(
    "axle.tyre",
    title="Steer tyre",
    requirements=(make.requirement("axle.tyre.depth", "at least 4/32 inch", limit=make.TREAD),),
)
OIL = make.item("engine.oil", "between-add-and-full", title="Oil level")
BELT = make.item("engine.belt", "no-cracks", "snug", title="Belts")
HORN = make.item("cab.horn", "works", title="Horn")
POP = make.item(
    "brakes.pop",
    title="Parking valve pops out",
    step=3,
    critical=True,
    requirements=(
        make.requirement("brakes.pop.out", "the parking valve pops out"),
        make.requirement("brakes.pop.at", "between 20 and 45 psi (or as made)", limit=make.LEAK),
    ),
)
LINING = make.item(
    "axle.lining",
    title="Brake linings",
    requirements=(
        make.requirement(
            "axle.lining.thick", "not dangerously thin (3 psi, for a test)", limit=make.LEAK
        ),
    ),
)
FRONT = make.item("front.chamber", "secure", "no-leaks", title="Brake chamber", row="B2")
REAR = make.item("rear.chamber", "secure", "no-leaks", title="Brake chamber", row="B2")


@pytest.mark.parametrize(
    ("item", "parts", "spoken"),
    [
        (OIL, OIL.requirements, "Oil level: between add and full."),
        (BELT, BELT.requirements, "Belts: no cracks and snug."),
        (TYRE, TYRE.requirements, "Steer tyre: at least 4/32 inch."),
        (
            LEAK,
            LEAK.requirements,
            "At most 3 psi in 1 minute: leak test, brakes applied, full pedal held.",
        ),
        (LEAK, LEAK.requirements[:1], "Leak test, brakes applied: full pedal held."),
        (HORN, (), "Horn."),
        (LINING, LINING.requirements, "Brake linings: not dangerously thin, at most 3 psi."),
        (POP, POP.requirements, "Between 20 and 45 psi: parking valve pops out."),
    ],
)
def test_sentences_hold_the_checklists_own_words(item, parts, spoken) -> None:  # type: ignore[no-untyped-def]
    assert sentence(item, parts) == spoken


@pytest.mark.parametrize(
    ("rows", "text"),
    [
        ([], ""),
        (["a"], "a"),
        (["a", "b"], "a and b"),
        (["a", "b", "c"], "a, b and c"),
        (["a, b", "c"], "a, b; c"),
    ],
)
def test_join(rows: list[str], text: str) -> None:
    assert join(rows) == text


def test_worst_first_and_no_more_than_five() -> None:
    rows = (
        make.found(OIL, ItemOutcome.MISSED),
        make.found(BELT, ItemOutcome.INCOMPLETE, said=("snug",)),
        make.found(HORN, ItemOutcome.WRONG),
        make.found(TYRE, ItemOutcome.WRONG),
        make.found(CHARGE, ItemOutcome.MISSED),
        make.found(LEAK, ItemOutcome.MISSED),
    )
    found = make.findings(
        *rows,
        numbers=(make.number(TYRE),),
        steps=(make.step(CHARGE, StepState.SWAPPED, 2), make.step(LEAK, StepState.SWAPPED, 1)),
    )
    listed = make.checklist(OIL, BELT, HORN, TYRE, CHARGE, LEAK)
    drills = grade(found, listed, ()).drills
    assert [row.rank for row in drills] == [1, 2, 3, 4, 5]
    assert [row.kind for row in drills] == [
        DrillKind.CRITICAL_NUMBER,
        DrillKind.ORDER,
        DrillKind.CRITICAL,
        DrillKind.NUMBER,
        DrillKind.WRONG,
    ]
    assert drills[1].sentence == "Charge the system; then leak test, brakes applied."
    every = grade(found, listed, (), Policy(drills=50)).drills
    assert [row.kind for row in every[5:]] == [DrillKind.PART_SAID, DrillKind.MISSED]
    # Only the missing part of a half-said item is rehearsed.
    assert every[5].sentence == "Belts: no cracks."


def test_the_same_gap_at_two_places_is_one_drill() -> None:
    rows = (
        make.found(OIL, ItemOutcome.MISSED),
        make.found(FRONT, ItemOutcome.MISSED),
        make.found(REAR, ItemOutcome.MISSED),
    )
    drills = grade(make.findings(*rows), make.checklist(OIL, FRONT, REAR), ()).drills
    assert [row.title for row in drills] == ["Brake chamber (front and rear)", "Oil level"]
    assert (drills[0].items, drills[0].gain) == ((FRONT.id, REAR.id), 2)
    assert drills[0].because == "Not said at 2 places."


def test_places_named_in_the_titles_are_not_said_twice() -> None:
    items = tuple(
        make.item(f"{zone}.drum", "no-cracks", title=f"Brake drum, {zone} axle", row="B4")
        for zone in ("front", "rear")
    )
    rows = tuple(make.found(entry, ItemOutcome.NAMED_ONLY) for entry in items)
    (drill,) = grade(make.findings(*rows), make.checklist(*items), ()).drills
    assert drill.title == "Brake drum (front and rear)"
    assert drill.sentence == "Brake drum: no cracks."
    assert drill.because == "Named, but not everything was said at 2 places."


@pytest.mark.parametrize(
    ("verdict", "told"),
    [
        (NumberVerdict.OUT_OF_RANGE, "outside what is accepted"),
        (NumberVerdict.WRONG_DIRECTION, "the wrong way"),
        (NumberVerdict.WRONG_UNIT, "unit was wrong"),
    ],
)
def test_a_wrong_number_says_what_was_said_and_what_is_accepted(
    verdict: NumberVerdict, told: str
) -> None:
    found = make.findings(
        make.found(TYRE, ItemOutcome.WRONG), numbers=(make.number(TYRE, verdict),)
    )
    (drill,) = grade(found, make.checklist(TYRE), ()).drills
    assert "at least 2/32 in" in drill.because
    assert told in drill.because
    assert "at least 4/32 in" in drill.because
    assert drill.basis == (make.BASIS,)


def test_a_wrong_optional_number_is_rehearsed_too() -> None:
    tyre = make.item(
        "axle.tyre",
        requirements=(
            make.requirement("axle.tyre.even", "evenly worn"),
            make.requirement("axle.tyre.depth", "at least 4/32 inch", required=False,
                             limit=make.TREAD),
        ),
    )  # fmt: skip
    found = make.findings(
        make.found(tyre, ItemOutcome.WRONG, said=("even",)), numbers=(make.number(tyre),)
    )
    (drill,) = grade(found, make.checklist(tyre), ()).drills
    assert drill.sentence == "Tyre: at least 4/32 inch."


@pytest.mark.parametrize("outcome", [ItemOutcome.COMPLETE, ItemOutcome.NEEDS_LISTENING])
def test_nothing_to_drill(outcome: ItemOutcome) -> None:
    assert grade(make.findings(make.found(OIL, outcome)), make.checklist(OIL), ()).drills == ()
