"""Ranges of spoken numbers: "120 to 140", "'twixt twenty and forty-five", "at least A and under B".

Conventions: a range is one number whose readings have low < high.
Public: `range_at`, `further`, `joined`, `VAGUE`.
"""

from __future__ import annotations

from fractions import Fraction

from walkgrade.checklists.records import Comparator
from walkgrade.language.amounts import Amount, Words, amount_at, and_a_part
from walkgrade.language.digits import ONES, TENS
from walkgrade.language.number_tables import UNIT_WORDS
from walkgrade.language.records import NumberMention, Quantity

VAGUE = ("", Comparator.ABOUT)
"""Comparators that say less than a range does."""
_JOINERS = (
    ("to",), ("and",), ("through",), ("or",), ("-",), ("up", "to"), ("until",), ("till",), ("til",),
)  # fmt: skip
_UNTIL = ("until", "till", "til")
_BETWEEN = ("between", "twixt", "'twixt", "betwixt")
_WITHIN = ("within", "inside")
_FILLERS = ("a", "about", "maybe", "perhaps", "say", "uh", "um", "er", "erm", "ah", "eh", "oh")
_DOUBTS = frozenset(("maybe", "perhaps"))
_PLAY = ("half", "quarters", "quarter", "inch", "inches", "of", "an", "a")
_RULE = ("is", "would", "was", "limit", "the", "as")
"""What makes the second of two fractions a rule of its own: "half inch, three quarters is tops";
"half an inch, three quarters tops" are the two ends of one allowance."""
_SMALL = 10  # "within a minute and a half" is no range
_GIVE = frozenset((
    "of", "give", "play", "slack", "bounce", "flex", "travel", "deflection", "in", "the", "middle",
    "center", "when", "i", "push", "pushing", "press", "lean", "on", "it", "or", "maybe", "perhaps",
    "might", "could", "be", "so", "about", "there", "inch", "inches", "an", "a", "uh", "um",
))  # fmt: skip
"""What may stand between the two ends of a belt's play: "half an inch of give, three quarters"."""
_GIVE_MOST = 10  # tokens between them
_TEN, _TOWARD = 10, frozenset(("about", "around", "at", "to", "oh", "like", "say", "uh", "um"))
"""Words before "one twenty, one thirty" that make it a guess, and no needle that climbs."""
_HALF = Fraction(1, 2)
_NEXT = 5  # "forty, forty-five" is a guess between the two
_VOLTS = 15  # "twelve, thirteen" on a needle
_AIR = 100  # from here on a gauge is read as it climbs: "one-twenty, one-twenty-five"
_WIDE = (20, 25)  # "one twenty, one forty", "twenty, forty-five": the two ends of a rule
_SPREAD = 2  # how many times the lower end the upper one may be where the words leave it open
_FLOOR, _CEILING = (Comparator.AT_LEAST, Comparator.ABOVE), (Comparator.BELOW, Comparator.AT_MOST)
_REACH = 8  # tokens between the two ends of "twelve is less than V, V is less than fourteen"


def range_at(words: Words, amount: Amount, unit_last: int) -> Amount | None:
    """The upper end of a range that starts with `amount`, or None."""
    for last in dict.fromkeys((unit_last, amount.last)):
        for joiner in _JOINERS:
            if words.norms[last : last + len(joiner)] != joiner:
                continue
            upper = _upper(words, last + len(joiner))
            if joiner == ("up", "to") and upper is not None and _rules(words, last, upper):
                upper = None  # "half inch, up to three quarters is allowed"
            if upper is not None and _opens(words, amount, upper, joiner[0]):
                return upper
    found = _after_comma(words, amount) or _fractions(words, amount, unit_last)
    return found or _inch_and_a_part(words, amount, unit_last)


def further(words: Words, upper: Amount) -> Amount:
    """ "Twenty to forty, forty-five": the upper end, or what it is mended to."""
    found = _after_comma(words, upper)
    return found if found is not None and found.value - upper.value == _NEXT else upper


def _inch_and_a_part(words: Words, amount: Amount, unit_last: int) -> Amount | None:
    """ "An inch, inch and a half": the second inch is said without its number."""
    at = unit_last
    if amount.value != 1 or at not in words.halts:
        return None
    while words.norms[at : at + 1] and words.norms[at] in (*_FILLERS, "an", "or"):
        at += 1
    part = and_a_part(words, at + 1) if words.norms[at : at + 1] == ("inch",) else None
    return Amount(at, part[1], amount.value + part[0], inches=True) if part else None


def _fractions(words: Words, amount: Amount, unit_last: int) -> Amount | None:
    """ "A half inch, perhaps three quarters": two fractions in a row are the ends of one play."""
    if amount.value >= 1 or not {unit_last, amount.last} & set(words.halts):
        return None
    upper = _upper(words, unit_last)
    if upper is None or not amount.value < upper.value < 1 or upper.value > amount.value * _SPREAD:
        return None
    return None if _rules(words, unit_last, upper) else upper


def _rules(words: Words, comma: int, upper: Amount) -> bool:
    """True when a second amount behind a comma is a rule of its own."""
    after = upper.last
    while after < len(words.norms) and words.norms[after] in _PLAY:
        after += 1
    if comma not in words.halts or after in words.halts:
        return False
    return bool({*words.norms[after : after + 1]} & set(_RULE))


def _upper(words: Words, start: int) -> Amount | None:
    """The amount at token `start`, behind an "about" or an "oh" or two."""
    norms, count = words.norms, len(words.norms)
    while start < count:
        upper = amount_at(words, start) if norms[start] != "oh" else None
        if upper is not None or norms[start] not in _FILLERS:
            return upper
        start += 1
    return None


def _opens(words: Words, amount: Amount, upper: Amount, joiner: str) -> bool:
    """True when the words before the lower end or the joiner itself make it a range."""
    before = words.norms[max(0, amount.first - 3) : amount.first]
    opened = any(word in before for word in _BETWEEN)
    near = amount.value < upper.value <= amount.value * _SPREAD
    within = any(word in before for word in _WITHIN) and amount.value >= _SMALL and near
    if joiner == "and":
        return opened or within
    if joiner in _UNTIL:  # "from half an inch until three quarters", not "sixty until forty"
        return opened or "from" in before or (amount.value >= _SMALL and near)
    return joiner != "or" or opened or upper.value <= amount.value * _SPREAD


def _after_comma(words: Words, amount: Amount) -> Amount | None:
    """ "Inside one twenty, one forty", "forty, forty-five": a range with a comma for its joiner."""
    if amount.last not in words.halts:
        return None
    upper = _upper(words, amount.last)
    if upper is None:
        return None
    if amount.value < _SMALL:
        return upper if _small_guess(words, amount, upper) else None
    if upper.first > amount.last:
        return None
    gap = upper.value - amount.value
    if gap not in _WIDE and not 0 < gap <= amount.value * (_SPREAD - 1):
        return None
    before = words.norms[max(0, amount.first - 3) : amount.first]
    opened = any(word in before for word in (*_BETWEEN, *_WITHIN))
    guess = (gap == _NEXT and upper.value < _AIR) or gap in _WIDE
    guess = guess or (gap == 1 and amount.value < _VOLTS)
    guess = guess or (gap == _TEN and amount.value >= _AIR and bool(_TOWARD & set(before)))
    guess = guess and not _counts_up(words, amount, upper)
    return upper if opened or guess else None


def _small_guess(words: Words, amount: Amount, upper: Amount) -> bool:
    """ "Six, seven miles an hour", "one, maybe one and a half": neighbours with a unit or a doubt."""
    near = 0 < upper.value - amount.value <= 1 and amount.value >= 1
    unit = tuple(words.norms[upper.last : upper.last + 1])
    measured = any(unit == spelt[:1] for spelt, _ in UNIT_WORDS) and amount.value > 2
    doubted = bool(set(words.norms[amount.last : upper.first]) & _DOUBTS)
    doubted = doubted or upper.value - amount.value == _HALF  # "six, six and a half"
    doubted = doubted or words.norms[max(0, amount.first - 1) : amount.first] == ("like",)
    return near and (measured or doubted) and not _counts_up(words, amount, upper)


def _counts_up(words: Words, amount: Amount, upper: Amount) -> bool:
    """True when a third number stands beside the two: "forty, fifty, sixty"."""
    before, after = words.norms[: amount.first][-1:], words.norms[upper.last : upper.last + 1]
    numbers = {*ONES, *TENS, "hundred"} - {*_FILLERS}
    return any(word in numbers for word in (*before, *after))


def joined(found: list[NumberMention], words: Words) -> tuple[NumberMention, ...]:
    """The mentions with "at least A and under B" made one range."""
    made: list[NumberMention] = []
    for mention in found:
        if made and (_bounds(made[-1], mention, words) or _play(made[-1], mention, words)):
            low, high = made[-1].readings[0], mention.readings[0]
            quantity = Quantity(
                low=low.low, high=high.high, unit=high.unit or low.unit,
                comparator=str(Comparator.BETWEEN),
            )  # fmt: skip
            made[-1] = NumberMention(
                first=made[-1].first, last=mention.last, readings=(quantity,), score=1.0
            )
        else:
            made.append(mention)
    return tuple(made)


def _play(lower: NumberMention, upper: NumberMention, words: Words) -> bool:
    """True for "half an inch of give, three quarters tops": the two ends of a belt's play."""
    low, high = lower.readings[0], upper.readings[0]
    if low.low != low.high or high.low != high.high or low.comparator not in VAGUE:
        return False
    between = words.norms[lower.last : upper.first]
    if len(between) > _GIVE_MOST or not set(between) <= _GIVE:
        return False
    after = upper.last
    while after < len(words.norms) and words.norms[after] in _PLAY:
        after += 1
    rule = after not in words.halts and {*words.norms[after : after + 1]} & set(_RULE)
    inches = {low.unit, high.unit} <= {"", "in"} and high.comparator in (*VAGUE, Comparator.AT_MOST)
    return not rule and inches and low.low < high.high < 1 and high.high <= low.low * _SPREAD


def _bounds(lower: NumberMention, upper: NumberMention, words: Words) -> bool:
    """True for a floor and a ceiling of the same thing, said one after the other."""
    low, high = lower.readings[0], upper.readings[0]
    between = words.norms[lower.last : upper.first]
    floor = low.comparator in _FLOOR and between in ((), ("and",), ("but",))
    chain = not low.comparator and between[:3] == ("is", "less", "than") and len(between) <= _REACH
    if not (floor or chain) or high.comparator not in _CEILING or low.low != low.high:
        return False
    same = low.unit == high.unit or "" in (low.unit, high.unit)
    return same and high.low == high.high and low.low < high.low <= low.low * _SPREAD
