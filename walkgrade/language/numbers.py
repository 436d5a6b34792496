"""Numbers as drivers say them: amounts with their unit, range and comparator.

Decides: which token runs are numbers, what unit and comparator each has, and the second reading
where the words have two ("for 30 seconds" may be 4/32, "three sixteen" 3/16, "sixty seconds" is
one minute).
Conventions: values are exact fractions; a single value has low == high; units are those of
`walkgrade.checklists.records.UNITS` or "" when none was said; comparators are `Comparator` values
or "".
Public: `find_numbers`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from walkgrade.checklists.records import Comparator
from walkgrade.language.amounts import Amount, Words, amount_at, and_a_part
from walkgrade.language.comparators import comparator_around
from walkgrade.language.digits import ONES, TENS
from walkgrade.language.fractions import thirty_seconds_at
from walkgrade.language.mistaken import number_words
from walkgrade.language.number_tables import DENOMINATORS, UNIT_WORDS
from walkgrade.language.ranges import VAGUE, further, joined, range_at
from walkgrade.language.records import NumberMention, Quantity

_WHOLE = ("full", "whole", "entire")  # "one full minute"
_PARTED = ("in", "lb", "psi", "min")  # units after which "and a half" may follow
_SAME = ({"lb", "psi"}, {"degree", "F"})
_IS = re.compile(r"\d+(?:\.\d+)?'s$")
_HUNDREDS = re.compile(r"[01]\.\d\d$")
"""A recogniser's "1.25" for "one twenty-five", "0.60" for "oh, sixty"."""
_SECONDS = 60  # in a minute
_PLURALS = {"twos": "two", "fours": "four", "sixes": "six"}
"""Thirty-seconds of tread as the trade says them: "fours on the steers, twos behind"."""
_BY = ("in", "by", "of")  # "in twos"
_SIXTEENTHS = ("sixteenth", "sixteenths", "16th", "16ths")  # of an inch, or of a tank


def find_numbers(
    norms: Sequence[str], breaks: Sequence[str | bool] = ()
) -> tuple[NumberMention, ...]:
    """All numbers of one utterance, in token order, without overlap.

    Parameters
    ----------
    norms : lower-case token texts of the utterance.
    breaks : punctuation before each token, truthy where there is some; empty when unknown.
    """
    halts = tuple(at for at, mark in enumerate(breaks) if mark and at)
    words = Words(tuple(number_words(_without_is(norms), halts)), halts)
    found: list[NumberMention] = []
    at = 0
    while at < len(words.norms):
        amount = amount_at(words, at)
        if amount is None or words.norms[at : amount.last] == ("oh",):
            at += 1
            continue
        if _broken_off(words, amount):
            at = amount.last + 1
            continue
        if norms[at] in _PLURALS:
            amount = replace(amount, also=amount.value / 32)
        mention = _mention(words, amount)
        found.append(mention)
        at = max(mention.last, at + 1)
    return joined(found, words)


def _broken_off(words: Words, amount: Amount) -> bool:
    """ "A hundred and, a hundred and twenty": the first is begun anew."""
    norms, last = words.norms, amount.last
    if norms[last : last + 1] != ("and",) or last + 1 not in words.halts:
        return False
    return norms[last + 1] == norms[amount.first] and amount_at(words, last + 1) is not None


def _without_is(norms: Sequence[str]) -> list[str]:
    """ "Three's the most", "fifty-five's the number": the number without its "is"; "fours up
    front" without its plural.

    "One's" is mostly the pronoun ("this one's loose") and stays, but for "fifty-one's".
    """
    made = list(norms)
    for at, word in enumerate(norms):
        if word in _PLURALS and not (at and (norms[at - 1] in _BY or norms[at - 1] in TENS)):
            made[at] = _PLURALS[word]
            continue
        base = word.removesuffix("'s")
        if base == word:
            continue
        tens = at > 0 and (norms[at - 1] in TENS or norms[at - 1] == "hundred")
        number = base in ONES or base in TENS or base in DENOMINATORS or base == "hundred"
        if _IS.match(word) or (number and (base != "one" or tens)):
            made[at] = base
    return made


def _mention(words: Words, amount: Amount) -> NumberMention:
    """An amount with the range, unit and comparator around it."""
    norms = words.norms
    low = amount.value
    unit, unit_last = _unit_at(norms, amount.last)
    bare = amount.last == amount.first  # "inch." is its own unit
    if (
        not bare
        and unit
        and amount.last in words.halts
        and amount_at(words, min(unit_last, len(norms) - 1))
    ):
        unit, unit_last = "", amount.last  # "one ninety, volts thirteen": the thirteen's
    part = and_a_part(words, unit_last) if unit in _PARTED and low.denominator == 1 else None
    if part is not None:
        low, unit_last = low + part[0], part[1]
    high, inches = low, amount.inches
    second = range_at(words, amount, unit_last)
    if second is not None and _unlike(unit, _unit_at(norms, second.last)[0]):
        second = None  # "ten degrees or two inches": two ways to say it, no range
    if second is not None:
        if low > second.value and thirty_seconds_at(norms, second.first + 1) > second.first + 1:
            low /= 32  # "six or seven thirty-seconds"
        second = further(words, second)
        high, inches = second.value, inches or second.inches
        unit2, unit_last = _unit_at(norms, second.last)
        part = and_a_part(words, unit_last) if unit2 in _PARTED and high.denominator == 1 else None
        if part is not None:
            high, unit_last = high + part[0], part[1]
        unit = unit2 or unit
    comparator, first, end = comparator_around(norms, amount.first, unit_last, words.halts)
    if second is not None and (comparator in VAGUE or norms[first] == "within"):
        comparator = Comparator.BETWEEN
    share = second is None and not unit and norms[amount.last - 1] in _SIXTEENTHS
    if unit == "" and inches:
        unit = "in"
    quantity = Quantity(
        low=min(low, high), high=max(low, high), unit=unit, comparator=str(comparator)
    )
    readings = _readings(quantity, None if second is not None else amount.also)
    if _HUNDREDS.match(norms[amount.first]) and unit in ("", "psi", "lb"):
        whole = replace(quantity, low=quantity.low * 100, high=quantity.high * 100)
        readings = (*readings, whole)
    if unit == "in" and norms[amount.first] in ONES:
        readings = readings[::-1]  # "one eight inch"
    if share:
        readings = (*readings, replace(quantity, unit=""))
    return NumberMention(first=first, last=end, readings=readings, score=1.0)


def _readings(quantity: Quantity, also: Fraction | None) -> tuple[Quantity, ...]:
    """The readings of a number, likeliest first; `also` is a fraction of an inch."""
    minutes = quantity.low / _SECONDS, quantity.high / _SECONDS
    if quantity.unit == "s" and all(part.denominator == 1 and part for part in minutes):
        return quantity, replace(quantity, low=minutes[0], high=minutes[1], unit="min")
    if also is None:
        return (quantity,)
    return quantity, replace(quantity, low=also, high=also, unit="in")


def _unlike(one: str, other: str) -> bool:
    """True when both units are said and cannot mean the same ("pounds" may well be psi)."""
    return bool(one and other) and one != other and {one, other} not in _SAME


def _unit_at(norms: Sequence[str], at: int) -> tuple[str, int]:
    """Unit that starts at token `at` (an article or "of an" may stand before) and its end."""
    for skip in (0, 1, 2):
        if skip and (
            at + skip > len(norms) or norms[at + skip - 1] not in ("of", "an", "a", *_WHOLE)
        ):
            break
        for words, unit in UNIT_WORDS:
            if tuple(norms[at + skip : at + skip + len(words)]) == words:
                if unit == "in?":
                    return ("", at)
                return unit, at + skip + len(words)
    return "", at
