"""Word tables for numbers: denominators, units of measure and comparators.

Conventions: words are lower-case tokens; where two entries fit, the first one counts. The unit
``in?`` marks a word that is a unit only in writing; "mm", "cm" and "finger" are units that no limit
has, so that such a number speaks to none.
Public: `DENOMINATORS`, `UNIT_WORDS`, `BEFORE`, `AFTER`.
"""

from __future__ import annotations

from walkgrade.checklists.records import Comparator

DENOMINATORS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4,
    "fourths": 4, "eighth": 8, "eighths": 8, "eights": 8, "sixteenth": 16, "sixteenths": 16,
    "32nd": 32, "32nds": 32, "32nd's": 32, "thirtyseconds": 32, "16th": 16, "16ths": 16, "8th": 8,
    "8ths": 8, "4th": 4, "4ths": 4, "tenth": 10, "tenths": 10,
}  # fmt: skip
UNIT_WORDS: tuple[tuple[tuple[str, ...], str], ...] = (
    (("pounds", "per", "square", "inch"), "psi"), (("pounds", "of", "air"), "psi"),
    (("pounds", "of", "pressure"), "psi"), (("miles", "per", "hour"), "mph"),
    (("miles", "an", "hour"), "mph"),
    (("mile", "an", "hour"), "mph"),
    (("mile", "per", "hour"), "mph"), (("p", "s", "i"), "psi"), (("degrees", "fahrenheit"), "F"),
    (("psi",), "psi"), (("psis",), "psi"), (("psi's",), "psi"), (("mph",), "mph"),
    (("inch",), "in"), (("inches",), "in"), (("in",), "in?"),
    (("seconds",), "s"), (("second",), "s"), (("minute",), "min"), (("minutes",), "min"),
    (("volts",), "V"), (("volt",), "V"), (("degrees",), "degree"), (("degree",), "degree"),
    (("feet",), "ft"), (("foot",), "ft"), (("percent",), "percent"), (("rpm",), "rpm"),
    (("rpms",), "rpm"), (("pounds",), "lb"), (("pound",), "lb"), (("lbs",), "lb"),
    (("lb",), "lb"), (("unit",), "unit"), (("units",), "unit"), (("times",), "count"),
    (("pumps",), "count"), (("strokes",), "count"), (("millimeters",), "mm"),
    (("millimetres",), "mm"), (("millimeter",), "mm"), (("millimetre",), "mm"), (("mm",), "mm"),
    (("centimeters",), "cm"), (("centimetres",), "cm"), (("centimeter",), "cm"),
    (("centimetre",), "cm"), (("finger",), "finger"), (("fingers",), "finger"),
)  # fmt: skip
BEFORE: tuple[tuple[tuple[str, ...], Comparator], ...] = (
    (("no", "less", "than"), Comparator.AT_LEAST), (("not", "less", "than"), Comparator.AT_LEAST),
    (("no", "lower", "than"), Comparator.AT_LEAST), (("not", "below"), Comparator.AT_LEAST),
    (("not", "under"), Comparator.AT_LEAST), (("no", "fewer", "than"), Comparator.AT_LEAST),
    (("n't", "be", "less", "than"), Comparator.AT_LEAST), (("n't", "be", "under"), Comparator.AT_LEAST),
    (("not", "be", "less", "than"), Comparator.AT_LEAST), (("at", "least"), Comparator.AT_LEAST),
    (("minimum", "of"), Comparator.AT_LEAST), (("minimum",), Comparator.AT_LEAST),
    (("min",), Comparator.AT_LEAST), (("not", "before"), Comparator.AT_LEAST),
    (("not", "after"), Comparator.AT_MOST), (("no", "lower"), Comparator.AT_LEAST),
    (("a", "min", "of"), Comparator.AT_LEAST), (("at", "or", "above"), Comparator.AT_LEAST),
    (("at", "or", "before"), Comparator.AT_LEAST), (("not", "lower", "than"), Comparator.AT_LEAST),
    (("no", "more", "than"), Comparator.AT_MOST), (("not", "more", "than"), Comparator.AT_MOST),
    (("n't", "lose", "more", "than"), Comparator.AT_MOST), (("not", "lose", "more", "than"), Comparator.AT_MOST),
    (("n't", "drop", "more", "than"), Comparator.AT_MOST), (("n't", "be", "more", "than"), Comparator.AT_MOST),
    (("not", "be", "more", "than"), Comparator.AT_MOST), (("n't", "exceed"), Comparator.AT_MOST),
    (("not", "exceed"), Comparator.AT_MOST), (("n't", "leak", "more", "than"), Comparator.AT_MOST),
    (("n't", "have", "more", "than"), Comparator.AT_MOST), (("n't", "move", "more", "than"), Comparator.AT_MOST),
    (("no", "greater", "than"), Comparator.AT_MOST), (("not", "over"), Comparator.AT_MOST),
    (("no", "higher", "than"), Comparator.AT_MOST), (("not", "above"), Comparator.AT_MOST),
    (("at", "most"), Comparator.AT_MOST), (("maximum", "of"), Comparator.AT_MOST),
    (("maximum",), Comparator.AT_MOST), (("max", "of"), Comparator.AT_MOST), (("max",), Comparator.AT_MOST),
    (("up", "to"), Comparator.AT_MOST), (("within",), Comparator.AT_MOST),
    (("at", "or", "below"), Comparator.AT_MOST), (("more", "than"), Comparator.ABOVE),
    (("greater", "than"), Comparator.ABOVE), (("higher", "than"), Comparator.ABOVE),
    (("over",), Comparator.ABOVE), (("above",), Comparator.ABOVE), (("exceeding",), Comparator.ABOVE),
    (("better", "than"), Comparator.ABOVE), (("less", "than"), Comparator.BELOW),
    (("deeper", "than"), Comparator.ABOVE), (("thicker", "than"), Comparator.ABOVE),
    (("go", "past"), Comparator.ABOVE), (("thinner", "than"), Comparator.BELOW),
    (("greater", "than", "or", "equal", "to"), Comparator.AT_LEAST),
    (("more", "than", "or", "equal", "to"), Comparator.AT_LEAST),
    (("less", "than", "or", "equal", "to"), Comparator.AT_MOST),
    (("not", "to", "exceed"), Comparator.AT_MOST),
    (("fewer", "than"), Comparator.BELOW), (("lower", "than"), Comparator.BELOW),
    (("under",), Comparator.BELOW), (("below",), Comparator.BELOW), (("about",), Comparator.ABOUT),
    (("around",), Comparator.ABOUT), (("approximately",), Comparator.ABOUT),
    (("roughly",), Comparator.ABOUT), (("close", "to"), Comparator.ABOUT), (("near",), Comparator.ABOUT),
    (("exactly",), Comparator.EXACTLY),
)  # fmt: skip
AFTER: tuple[tuple[tuple[str, ...], Comparator], ...] = (
    (("or", "more"), Comparator.AT_LEAST), (("or", "better"), Comparator.AT_LEAST),
    (("or", "greater"), Comparator.AT_LEAST), (("or", "above"), Comparator.AT_LEAST),
    (("or", "higher"), Comparator.AT_LEAST), (("and", "up"), Comparator.AT_LEAST),
    (("or", "deeper"), Comparator.AT_LEAST), (("minimum",), Comparator.AT_LEAST),
    (("at", "minimum"), Comparator.AT_LEAST), (("at", "the", "least"), Comparator.AT_LEAST),
    (("at", "least"), Comparator.AT_LEAST), (("or", "less"), Comparator.AT_MOST),
    (("or", "under"), Comparator.AT_MOST), (("or", "lower"), Comparator.AT_MOST),
    (("or", "thicker"), Comparator.AT_LEAST), (("or", "fewer"), Comparator.AT_MOST), (("or", "below"), Comparator.AT_MOST),
    (("maximum",), Comparator.AT_MOST), (("max",), Comparator.AT_MOST),
    (("at", "most"), Comparator.AT_MOST), (("at", "the", "most"), Comparator.AT_MOST),
    (("tops",), Comparator.AT_MOST),
    (("no", "more"), Comparator.AT_MOST),
    (("and", "no", "more"), Comparator.AT_MOST),
    (("loss", "no", "more"), Comparator.AT_MOST),
    (("no", "less"), Comparator.AT_LEAST),
)  # fmt: skip
