# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""A spoken number against a limit: the published values, then rules over all numbers.

Each row names the title and section of its source; the limits themselves are those of the shipped
checklists, so a wrong value there fails here too.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.checklists.library import find_checklist
from walkgrade.checklists.records import UNITS, Comparator, Limit
from walkgrade.language.records import Quantity
from walkgrade.matching.limits import accepted, fits_unit, judge, plausible, spoken
from walkgrade.matching.records import NumberVerdict

RIGHT, OUT = NumberVerdict.RIGHT, NumberVerdict.OUT_OF_RANGE
DIRECTION, UNIT = NumberVerdict.WRONG_DIRECTION, NumberVerdict.WRONG_UNIT

TREAD_FRONT = ("front-axle.tyre-tread.depth", "49 CFR 393.75 (b)")
TREAD_REAR = ("rear-axle.tyre-tread.depth", "49 CFR 393.75 (c)")
LINING_FRONT = ("front-axle.brake-linings.thickness", "49 CFR 393.47 (d)(1)")
LINING_REAR = ("rear-axle.brake-linings.thickness", "49 CFR 393.47 (d)(2)")
PADS_FRONT = ("front-axle.brake-pads.thickness", "49 CFR 393.47 (d)(1)")
PUSH_ROD = ("front-axle.slack-adjuster.travel", "state manual, 2005 test system, 11.2.3")
STATIC = ("air-brake.leak.static", "state manual, 2005 test system, 5.3.3")
LOSS = ("air-brake.leak.loss", "state manual, 2005 test system, 11.1.2")
MINUTE = ("air-brake.leak.minute", "state manual, 2005 test system, 11.1.2")
WARNING = (
    "air-brake.warning.pressure",
    "state manual 11.1.2 (55 psi); 49 CFR 571.121 S5.1.5 (60 psi)",
)
POP_OUT = ("air-brake.pop-out.pressure", "state manual, 2005 test system, 5.1.14 (from memory)")
CUT_OUT = ("air-brake.charge.cut-out", "state manual, 2005 test system, 11.1.2")
CUT_IN = ("air-brake.charge.cut-in", "49 CFR 571.121 S5.1.1.1 (bus)")
SPEED = ("cab.service-brake.speed", "state manual 11.1.2, about 5 mph; 3 to 7 our tolerance")
BELT = ("engine.alternator.snug", "state manual, 2005 test system, 11.1.1")
PLAY = ("cab.steering-play.play", "state manual, 2005 test system, 2.1.3 (from memory)")
DEF = ("cab.def-gauge.level", "state manual, 2005 test system, 11.1.1")
OIL = ("cab.oil-pressure.reading", "state manual, 2005 test system, 2.1.5")

# (requirement, source), low, high, unit, comparator said, verdict
PUBLISHED = [
    (TREAD_FRONT, "4/32", "4/32", "in", "at least", RIGHT),
    (TREAD_FRONT, "4/32", "4/32", "in", "", RIGHT),
    (TREAD_FRONT, "1/8", "1/8", "in", "at least", RIGHT),  # the same depth, reduced
    (TREAD_FRONT, "2/32", "2/32", "in", "at least", OUT),
    (TREAD_FRONT, "6/32", "6/32", "in", "at least", OUT),  # not the rule
    (TREAD_FRONT, "4/32", "4/32", "in", "at most", DIRECTION),
    (TREAD_FRONT, "4/32", "4/32", "in", "below", DIRECTION),
    (TREAD_FRONT, "4/32", "4/32", "psi", "at least", UNIT),
    (TREAD_REAR, "2/32", "2/32", "in", "at least", RIGHT),
    (TREAD_REAR, "4/32", "4/32", "in", "at least", OUT),  # the front wheels' figure
    (TREAD_REAR, "2/32", "2/32", "in", "at most", DIRECTION),
    (LINING_FRONT, "3/16", "3/16", "in", "at least", RIGHT),
    (LINING_FRONT, "1/4", "1/4", "in", "at least", RIGHT),  # two-pad shoes, and the habit of the trade
    (LINING_FRONT, "1/8", "1/8", "in", "at least", OUT),
    (LINING_REAR, "1/4", "1/4", "in", "at least", RIGHT),
    (LINING_REAR, "3/16", "3/16", "in", "at least", OUT),  # the steering axle's figure
    (LINING_REAR, "1/4", "1/4", "in", "at most", DIRECTION),
    (PADS_FRONT, "1/8", "1/8", "in", "at least", RIGHT),
    (PADS_FRONT, "1/16", "1/16", "in", "at least", OUT),
    (PUSH_ROD, "1", "1", "in", "at most", RIGHT),
    (PUSH_ROD, "1", "1", "in", "at least", DIRECTION),
    (PUSH_ROD, "2", "2", "in", "at most", OUT),
    (STATIC, "2", "2", "psi", "at most", RIGHT),
    (STATIC, "3", "3", "psi", "at most", OUT),  # the applied figure
    (LOSS, "3", "3", "psi", "at most", RIGHT),
    (LOSS, "3", "3", "lb", "at most", RIGHT),  # "three pounds"
    (LOSS, "0", "0", "psi", "", RIGHT),  # a reading
    (LOSS, "4", "4", "psi", "at most", OUT),
    (LOSS, "3", "3", "psi", "above", DIRECTION),
    (LOSS, "2", "4", "psi", "between", OUT),  # half of it outside
    (MINUTE, "1", "1", "min", "", RIGHT),
    (MINUTE, "60", "60", "s", "", RIGHT),
    (MINUTE, "30", "30", "s", "", OUT),
    (MINUTE, "2", "2", "min", "", OUT),
    (MINUTE, "1", "1", "psi", "", UNIT),
    (WARNING, "55", "55", "psi", "above", RIGHT),
    (WARNING, "60", "60", "psi", "below", RIGHT),
    (WARNING, "50", "50", "psi", "", OUT),
    (WARNING, "75", "75", "psi", "", OUT),
    (POP_OUT, "20", "45", "psi", "between", RIGHT),
    (POP_OUT, "40", "40", "psi", "about", RIGHT),
    (POP_OUT, "20", "60", "psi", "between", OUT),
    (POP_OUT, "10", "10", "psi", "", OUT),
    (CUT_OUT, "120", "140", "psi", "between", RIGHT),
    (CUT_OUT, "125", "125", "psi", "about", RIGHT),
    (CUT_OUT, "100", "120", "psi", "between", OUT),
    (CUT_OUT, "150", "150", "psi", "", OUT),
    (CUT_IN, "85", "85", "psi", "", RIGHT),
    (CUT_IN, "100", "100", "psi", "about", RIGHT),
    (CUT_IN, "80", "80", "psi", "", OUT),
    (SPEED, "5", "5", "mph", "about", RIGHT),
    (SPEED, "15", "15", "mph", "about", OUT),
    (SPEED, "5", "5", "psi", "about", UNIT),
    (BELT, "1/2", "3/4", "in", "between", RIGHT),
    (BELT, "3/4", "3/4", "in", "at most", RIGHT),
    (BELT, "3/4", "3/4", "in", "at least", DIRECTION),
    (BELT, "1", "1", "in", "at most", OUT),
    (PLAY, "10", "10", "degree", "at most", RIGHT),
    (PLAY, "10", "10", "degree", "at least", DIRECTION),
    (PLAY, "20", "20", "degree", "at most", OUT),
    (DEF, "1/8", "1/8", "fraction", "above", RIGHT),
    (DEF, "1/2", "1/2", "fraction", "", RIGHT),
    (DEF, "1/16", "1/16", "fraction", "", OUT),
    (DEF, "1/8", "1/8", "fraction", "below", DIRECTION),
    (OIL, "35", "75", "psi", "between", RIGHT),
    (OIL, "5", "20", "psi", "between", RIGHT),  # idling
    (OIL, "100", "100", "psi", "", OUT),
]  # fmt: skip


def published(requirement: str) -> Limit:
    for name in ("school-bus-air-classic", "school-bus-air-modern"):
        for item in find_checklist(name).items:
            for one in item.requirements:
                if one.id == requirement and one.limit is not None:
                    return one.limit
    raise AssertionError(requirement)


def said(low: str, high: str, unit: str, comparator: str) -> Quantity:
    return Quantity(low=Fraction(low), high=Fraction(high), unit=unit, comparator=comparator)


@pytest.mark.parametrize(
    ("rule", "low", "high", "unit", "comparator", "verdict"),
    PUBLISHED,
    ids=[f"{r[0][0]}-{r[4].replace(' ', '-')}-{r[1]}-{r[2]}-{r[3]}" for r in PUBLISHED],
)
def test_published_value(
    rule: tuple[str, str], low: str, high: str, unit: str, comparator: str, verdict: NumberVerdict
) -> None:
    requirement, source = rule
    assert judge(said(low, high, unit, comparator), published(requirement)) is verdict, source


def test_every_limit_of_the_manual_has_a_good_and_a_bad_row() -> None:
    rows: dict[str, set[bool]] = {}
    for (requirement, _), *_, verdict in PUBLISHED:
        rows.setdefault(requirement, set()).add(verdict is RIGHT)
    assert all(found == {True, False} for found in rows.values())


values = st.fractions(min_value=0, max_value=200, max_denominator=32)
comparators = st.sampled_from(["", *Comparator])
units = st.sampled_from(["", *UNITS])
DOWN, UP = {"at most", "below"}, {"at least", "above"}


@st.composite
def limits(draw: st.DrawFn) -> Limit:
    low, high = sorted((draw(values), draw(values)))
    return Limit(
        quantity="depth", comparator=draw(st.sampled_from(list(Comparator))), low=low, high=high,
        accept_low=low, accept_high=high, unit=draw(st.sampled_from(UNITS)),
    )  # fmt: skip


@st.composite
def quantities(draw: st.DrawFn) -> Quantity:
    low, high = sorted((draw(values), draw(values)))
    return Quantity(low=low, high=high, unit=draw(units), comparator=draw(comparators))


@given(limits(), quantities())
def test_right_means_inside_with_a_unit_that_fits(limit: Limit, quantity: Quantity) -> None:
    if judge(quantity, limit) is not RIGHT:
        return
    scale = {("s", "min"): Fraction(1, 60), ("min", "s"): Fraction(60)}.get(
        (quantity.unit, limit.unit), Fraction(1)
    )
    assert limit.accept_low <= quantity.low * scale <= limit.accept_high
    assert limit.accept_low <= quantity.high * scale <= limit.accept_high
    assert fits_unit(quantity, limit) > 0


@given(limits(), values)
def test_every_value_of_the_accepted_range_is_right(limit: Limit, share: Fraction) -> None:
    value = limit.accept_low + (limit.accept_high - limit.accept_low) * share / 200
    plain = Quantity(low=value, high=value, unit=limit.unit, comparator="")
    assert judge(plain, limit) is RIGHT


@given(limits(), values, st.integers(1, 50))
def test_a_value_beyond_either_end_is_never_right(limit: Limit, share: Fraction, by: int) -> None:
    for value in (limit.accept_low - by, limit.accept_high + by):
        assert judge(Quantity(low=value, high=value, unit=limit.unit, comparator=""), limit) is OUT


@given(limits(), quantities())
def test_the_wrong_way_is_never_right(limit: Limit, quantity: Quantity) -> None:
    opposed = (limit.comparator in UP and quantity.comparator in DOWN) or (
        limit.comparator in DOWN and quantity.comparator in UP
    )
    if opposed:
        assert judge(quantity, limit) in (DIRECTION, UNIT)
    else:
        assert judge(quantity, limit) is not DIRECTION


@given(limits(), quantities())
def test_another_unit_is_told_before_anything_else(limit: Limit, quantity: Quantity) -> None:
    assert (judge(quantity, limit) is UNIT) == (fits_unit(quantity, limit) == 0.0)


@given(limits(), quantities())
def test_a_wider_range_is_never_better(limit: Limit, quantity: Quantity) -> None:
    wider = Quantity(
        low=quantity.low - 1, high=quantity.high + 1, unit=quantity.unit,
        comparator=quantity.comparator,
    )  # fmt: skip
    if judge(wider, limit) is RIGHT:
        assert judge(quantity, limit) is RIGHT


@given(st.integers(0, 20), st.integers(0, 5))
def test_seconds_and_minutes_say_the_same(minutes: int, allowed: int) -> None:
    limit = Limit(
        quantity="time", comparator=Comparator.EXACTLY, low=Fraction(allowed), high=None,
        accept_low=Fraction(allowed), accept_high=Fraction(allowed), unit="min",
    )  # fmt: skip
    spoken_minutes = said(str(minutes), str(minutes), "min", "")
    spoken_seconds = said(str(minutes * 60), str(minutes * 60), "s", "")
    assert judge(spoken_minutes, limit) is judge(spoken_seconds, limit)
    assert (judge(spoken_minutes, limit) is RIGHT) == (minutes == allowed)


@given(limits())
def test_the_rule_itself_is_plausible(limit: Limit) -> None:
    for value in (limit.accept_low, limit.accept_high):
        assert plausible(Quantity(low=value, high=value, unit="", comparator=""), limit)


@pytest.mark.parametrize(
    ("value", "unit", "comparator", "shown"),
    [
        ("4/32", "in", "at least", "at least 4/32 in"),
        ("2/32", "in", "", "2/32 in"),
        ("3/4", "in", "at most", "at most 3/4 in"),
        ("1 1/2", "in", "", "1 1/2 in"),
        ("120", "psi", "about", "about 120 psi"),
        ("1", "", "", "1"),
    ],
)
def test_spoken_value_as_printed(value: str, unit: str, comparator: str, shown: str) -> None:
    exact = sum((Fraction(piece) for piece in value.split()), Fraction(0))
    assert spoken(Quantity(low=exact, high=exact, unit=unit, comparator=comparator)) == shown


@pytest.mark.parametrize(
    ("requirement", "shown"),
    [
        (TREAD_FRONT[0], "at least 4/32 in"),
        (PUSH_ROD[0], "at most 1 in"),
        (CUT_OUT[0], "120 to 140 psi"),
        (MINUTE[0], "1 min"),
        ("air-brake.leak.loss", "at most 3 psi"),
    ],
)
def test_accepted_values_as_printed(requirement: str, shown: str) -> None:
    assert accepted(published(requirement)) == shown
