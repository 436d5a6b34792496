"""Numbers as drivers say them: words, digits, fractions, ranges, units and comparators.

Decides: which token runs are numbers, their exact value, unit and comparator, and the second
reading a recogniser's slip suggests ("for 30 seconds" may be 4/32).
Conventions: values are exact fractions; a single value has low == high; units are those of
`walkgrade.checklists.records.UNITS` or "" when none was said; comparators are `Comparator` values
or "".
Public: `find_numbers`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from walkgrade.checklists.records import Comparator
from walkgrade.language.digits import ONES, TENS, digit_value, slip_fraction
from walkgrade.language.records import NumberMention, Quantity

_DENOMINATORS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4,
    "fourths": 4, "eighth": 8, "eighths": 8, "eights": 8, "sixteenth": 16, "sixteenths": 16,
    "32nd": 32, "32nds": 32, "32nd's": 32, "thirtyseconds": 32, "16th": 16, "16ths": 16, "8th": 8,
    "8ths": 8, "4th": 4, "4ths": 4,
}  # fmt: skip
_UNITS: tuple[tuple[tuple[str, ...], str], ...] = (
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
    (("pumps",), "count"), (("strokes",), "count"),
)  # fmt: skip
_BEFORE: tuple[tuple[tuple[str, ...], Comparator], ...] = (
    (("no", "less", "than"), Comparator.AT_LEAST), (("not", "less", "than"), Comparator.AT_LEAST),
    (("no", "lower", "than"), Comparator.AT_LEAST), (("not", "below"), Comparator.AT_LEAST),
    (("not", "under"), Comparator.AT_LEAST), (("no", "fewer", "than"), Comparator.AT_LEAST),
    (("n't", "be", "less", "than"), Comparator.AT_LEAST), (("n't", "be", "under"), Comparator.AT_LEAST),
    (("not", "be", "less", "than"), Comparator.AT_LEAST), (("at", "least"), Comparator.AT_LEAST),
    (("minimum", "of"), Comparator.AT_LEAST), (("minimum",), Comparator.AT_LEAST),
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
_AFTER: tuple[tuple[tuple[str, ...], Comparator], ...] = (
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
_RANGE = ("to", "and", "through", "or", "-")
_WHOLE = ("full", "whole", "entire")  # "one full minute"
_SAME = ({"lb", "psi"}, {"degree", "F"})
_CONNECT = {"a", "an", "of", "the", "that", "is", "about", "like", "roughly"}


@dataclass(frozen=True, slots=True)
class _Value:
    first: int
    last: int
    value: Fraction
    fraction: bool
    slip: Fraction | None = None
    inches: bool = False


def find_numbers(norms: Sequence[str]) -> tuple[NumberMention, ...]:
    """All numbers of one utterance, in token order, without overlap.

    Parameters
    ----------
    norms : lower-case token texts of the utterance.
    """
    found: list[NumberMention] = []
    at = 0
    while at < len(norms):
        value = _value_at(norms, at)
        if value is None:
            at += 1
            continue
        mention = _mention(norms, value)
        found.append(mention)
        at = max(mention.last, at + 1)
    return tuple(found)


def _mention(norms: Sequence[str], value: _Value) -> NumberMention:
    """A value with the range, unit and comparator around it."""
    low, last, slip = value.value, value.last, value.slip
    high, fraction = low, value.fraction
    unit, unit_last = _unit_at(norms, last)
    second = _range_at(norms, value, unit_last)
    if second is not None and _unlike(unit, _unit_at(norms, second.last)[0]):
        second = None  # "ten degrees or two inches": two ways to say it, no range
    if second is not None:
        last, high, fraction = second.last, second.value, fraction or second.fraction
        unit2, unit_last = _unit_at(norms, last)
        unit = unit2 or unit
    end = unit_last
    comparator, first, end = _comparator(norms, value.first, end)
    if second is not None and comparator in ("", Comparator.ABOUT):
        comparator = Comparator.BETWEEN
    low, high = min(low, high), max(low, high)
    if unit == "" and (value.inches or (second is not None and second.inches)):
        unit = "in"  # thirty-seconds and sixteenths are only ever inches here
    readings = [Quantity(low=low, high=high, unit=unit, comparator=str(comparator))]
    if slip is not None:
        readings.append(Quantity(low=slip, high=slip, unit="in", comparator=str(comparator)))
    return NumberMention(first=first, last=end, readings=tuple(readings), score=1.0)


def _unlike(one: str, other: str) -> bool:
    """True when both units are said and cannot mean the same ("pounds" may well be psi)."""
    return bool(one and other) and one != other and {one, other} not in _SAME


def _range_at(norms: Sequence[str], value: _Value, unit_last: int) -> _Value | None:
    """The upper end of a range that starts with `value`, or None."""
    for last in dict.fromkeys((unit_last, value.last)):
        if last >= len(norms) or norms[last] not in _RANGE:
            continue
        joiner = norms[last]
        start = last + 1
        upper = _value_at(norms, start) if start < len(norms) else None
        while upper is None and start < len(norms) and norms[start] in ("a", "about", "maybe"):
            start += 1
            upper = _value_at(norms, start) if start < len(norms) else None
        if upper is None:
            continue
        opened = "between" in norms[max(0, value.first - 3) : value.first]
        if joiner == "and" and not opened:
            continue
        if joiner == "or" and not opened and upper.value > value.value * 2:
            continue
        return upper
    return None


def _comparator(norms: Sequence[str], first: int, end: int) -> tuple[str, int, int]:
    """The comparator around tokens [first, end), and the span widened to include it."""
    for words, comparator in _AFTER:
        if tuple(norms[end : end + len(words)]) == words:
            return comparator, first, end + len(words)
    start = first
    while start > 0 and norms[start - 1] in _CONNECT and first - start < 3:
        start -= 1
    for begin in dict.fromkeys((first, start)):
        for words, comparator in _BEFORE:
            if _ends_with(norms, begin, words):
                start = begin - len(words)
                return _turned(comparator, norms, start), start, end
    if "between" in norms[max(0, first - 2) : first]:
        return Comparator.BETWEEN, first - 1, end
    return "", first, end


def _turned(comparator: Comparator, norms: Sequence[str], start: int) -> Comparator:
    """A negation a few words before turns a comparator: "shouldn't move any more than"."""
    before = norms[max(0, start - 5) : start]
    negated = any(
        w in ("not", "never", "no", "nothing", "cannot", "without") or w.endswith("n't")
        for w in before
    )
    if negated and comparator == Comparator.ABOVE:
        return Comparator.AT_MOST
    if negated and comparator == Comparator.BELOW:
        return Comparator.AT_LEAST
    return comparator


def _ends_with(norms: Sequence[str], end: int, words: tuple[str, ...]) -> bool:
    if end < len(words):
        return False
    for have, want in zip(norms[end - len(words) : end], words, strict=True):
        if (
            have == want
            or (want == "n't" and have.endswith("n't"))
            or (want == "n't" and have == "cannot")
            or (want == "than" and have == "then")
        ):
            continue
        return False
    return True


def _unit_at(norms: Sequence[str], at: int) -> tuple[str, int]:
    """Unit that starts at token `at` (an article or "of an" may stand before) and its end."""
    for skip in (0, 1, 2):
        if skip and (
            at + skip > len(norms) or norms[at + skip - 1] not in ("of", "an", "a", *_WHOLE)
        ):
            break
        for words, unit in _UNITS:
            if tuple(norms[at + skip : at + skip + len(words)]) == words:
                if unit == "in?":
                    return ("", at)
                return unit, at + skip + len(words)
    return "", at


def _value_at(norms: Sequence[str], at: int) -> _Value | None:
    """The longest number that starts at token `at`, or None."""
    bare = _bare_measure(norms, at)
    if bare is not None:
        return bare
    slip = slip_fraction(norms, at)
    whole = _whole_at(norms, at)
    fraction = _fraction_at(norms, at)
    if whole is not None and whole.last < len(norms):
        mixed_at = whole.last + (1 if norms[whole.last] == "and" else 0)
        tail = _fraction_at(norms, mixed_at) if mixed_at < len(norms) else None
        has_and = norms[whole.last] == "and"
        digits_tail = tail is not None and "/" in norms[mixed_at]
        if tail is not None and tail.value < 1 and (has_and or digits_tail) and whole.value < 100:
            if fraction is None or fraction.last < tail.last:
                return _Value(at, tail.last, whole.value + tail.value, True)
    best = fraction if fraction and (whole is None or fraction.last >= whole.last) else whole
    if slip is not None:
        value, last, literal = slip
        if literal is None:
            return _Value(at, last, value, True, inches=True)
        if best is None or best.last <= last:
            unit_said = last - at > 1 and norms[last - 1] not in ("two", "twos")
            unit_at = last - 1 if unit_said else last
            return _Value(at, unit_at, literal, False, slip=value)
    return best


def _bare_measure(norms: Sequence[str], at: int) -> _Value | None:
    """ "Inch of travel", "eighth of a tank": a measure that stands for one of it."""
    rest = list(norms[at + 1 : at + 3])
    if (
        norms[at] == "inch"
        and rest[:1] == ["of"]
        and rest[1:] in (["travel"], ["play"], ["movement"])
    ):
        return _Value(at, at, Fraction(1), False)
    if norms[at] in ("eighth", "quarter", "half") and rest[:1] in (["of"], ["tank"]):
        return _Value(at, at + 1, Fraction(1, _DENOMINATORS[norms[at]]), True)
    return None


def _fraction_at(norms: Sequence[str], at: int) -> _Value | None:
    if at >= len(norms):
        return None
    word = norms[at]
    digits = digit_value(word)
    if digits is not None and "/" in word:
        return _Value(at, at + 1, digits, True, inches="/32" in word or "/16" in word)
    if word in ("half", "quarter"):
        return _Value(at, at + 1, Fraction(1, _DENOMINATORS[word]), True)
    if word in ("a", "an", "one") and at + 1 < len(norms) and norms[at + 1] in _DENOMINATORS:
        size = _DENOMINATORS[norms[at + 1]]
        return _Value(at, at + 2, Fraction(1, size), True, inches=size >= 16)
    top = ONES.get(word) if word in ONES else (digits if digits is not None else None)
    if top is None or at + 1 >= len(norms) or not 0 < top < 32:
        return None
    rest = norms[at + 1 :]
    if rest[0] in _DENOMINATORS and rest[0] not in ("half",):
        share = _DENOMINATORS[rest[0]]
        return _Value(at, at + 2, Fraction(top) / share, True, inches=share >= 16)
    if (
        len(rest) > 1
        and rest[0] == "thirty"
        and rest[1] in ("second", "seconds", "two", "twos", "second's")
    ):
        return _Value(at, at + 3, Fraction(top) / 32, True, inches=True)
    if len(rest) > 1 and rest[0] == "over":
        bottom = _whole_at(norms, at + 2)
        if bottom is not None and bottom.value in (2, 4, 8, 16, 32):
            return _Value(
                at, bottom.last, Fraction(top) / bottom.value, True, inches=bottom.value >= 16
            )
    return None


def _whole_at(norms: Sequence[str], at: int) -> _Value | None:
    """A whole or decimal number in words or digits: "one twenty five", "one-oh-five", "105"."""
    word = norms[at]
    digits = digit_value(word)
    if digits is not None and "/" not in word:
        return _Value(at, at + 1, digits, False)
    total, seen, last = 0, False, at
    after = [w for w in norms[at + 1 : at + 3] if w not in _WHOLE][:1]
    if word in ("a", "an") and after in (["inch"], ["minute"]):
        return _Value(at, at + 1, Fraction(1), False)
    if word == "a" and at + 1 < len(norms) and norms[at + 1] == "hundred":
        total, last, seen = 100, at + 2, True
    elif word in ONES or word in TENS:
        total, last = _below_hundred(norms, at)
        seen = True
        if last < len(norms) and norms[last] == "hundred":
            total, last = total * 100, last + 1
        elif 1 <= total <= 9 and last < len(norms) and _follows(norms, last):
            rest, end = _below_hundred(norms, last)
            return _Value(at, end, Fraction(total * 100 + rest), False)
    if not seen:
        return None
    if total % 100 == 0 and total >= 100:
        start = last + (1 if last < len(norms) and norms[last] == "and" else 0)
        if start < len(norms) and (norms[start] in ONES or norms[start] in TENS):
            rest, end = _below_hundred(norms, start)
            if not _goes_on(norms, start, end):
                total, last = total + rest, end
    if last + 1 < len(norms) and norms[last] == "point" and norms[last + 1] in ONES:
        return _Value(at, last + 2, Fraction(total) + Fraction(ONES[norms[last + 1]], 10), False)
    return _Value(at, last, Fraction(total), False)


def _goes_on(norms: Sequence[str], start: int, end: int) -> bool:
    """True when "and one" opens another number: "one hundred and one hundred", "and one twenty"."""
    if end >= len(norms) or norms[start] not in ONES or not 1 <= ONES[norms[start]] <= 9:
        return False
    return norms[end] == "hundred" or (end == start + 1 and _follows(norms, end))


def _follows(norms: Sequence[str], at: int) -> bool:
    """True when tokens at `at` can be the tens of "one twenty" or the "oh five" of "one oh five"."""
    word = norms[at]
    if word in TENS:
        fraction = at + 1 < len(norms) and norms[at + 1] in ("second", "seconds")
        return not fraction
    if word in ("oh", "o", "zero"):
        return at + 1 < len(norms) and norms[at + 1] in ONES
    return word in ONES and 10 <= ONES[word] <= 19


def _below_hundred(norms: Sequence[str], at: int) -> tuple[int, int]:
    word = norms[at]
    if (
        word in ("oh", "o", "zero")
        and at + 1 < len(norms)
        and ONES.get(norms[at + 1], 0) in range(1, 10)
    ):
        return ONES[norms[at + 1]], at + 2
    if word in TENS:
        if at + 1 < len(norms) and 1 <= ONES.get(norms[at + 1], 0) <= 9:
            return TENS[word] + ONES[norms[at + 1]], at + 2
        return TENS[word], at + 1
    return ONES[word], at + 1
