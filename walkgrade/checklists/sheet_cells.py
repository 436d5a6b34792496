"""The columns of a school's sheet, and how their cells are written and read.

Decides: names of columns, and the text form of lists, rules on the vehicle, numbers and sources.
Conventions: several entries of a cell are separated by ``;`` (``\\;`` is a semicolon that belongs
to an entry); what is read here is not yet checked for meaning. Faulty cells raise ValueError with
what was allowed.
Public: `COLUMNS`, `ITEM_COLUMNS`, `column_of`, `entries`, `joined`, `yes`, `rules`, `rules_text`,
`limit_of`, `limit_cells`, `source_of`, `source_text`, `number_text`,
`minutes_text`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from rapidfuzz import process

from walkgrade.checklists.records import UNITS, Basis, Comparator, Fitted, Limit, Standing
from walkgrade.checklists.schema import parse_number

# name: what stands in it. The first row of a section or item speaks for the rows below it.
COLUMNS: dict[str, str] = {
    "section": "part of the test; blank: as above",
    "minutes": "time for the section (first row of it)",
    "in order": "yes: its items are steps, to be done in this order",
    "place": "where one stands: front axle, under the hood",
    "place words": "words that tell one is there; blank: those walkgrade knows",
    "item": "the part to be named; blank: as above",
    "names": "what people call it, separated by ;",
    "why": "why it is safe: one plain sentence",
    "caution": "what can hurt someone here",
    "critical": "yes: a miss commonly fails the test",
    "same as": "ids of items whose 'same on this side' counts here",
    "only if": "what the vehicle must have: lift is fitted",
    "row": "line of a list of sources, if you keep one",
    "say": "one thing to be said of it, a row each",
    "needed": "yes, or no: a bonus only",
    "number": "the right number: at least 4/32 in",
    "of": "what the number measures: tread depth",
    "accept": "numbers that count as right: 4/32 to 4/32",
    "conditions": "what earns it, by id (docs/checklist-format.md)",
    "wording": "other wording that earns it, as patterns",
    "about": "the sub-part that is meant: belt; cap",
    "say only if": "as 'only if', for this row alone",
    "source": "title / section [standing]",
    "say row": "as 'row', for this row alone",
    "item id": "leave blank; walkgrade fills it",
    "say id": "leave blank; walkgrade fills it",
}
ITEM_COLUMNS = (
    "names", "why", "caution", "critical", "same as", "only if", "row", "item id",
)  # fmt: skip
NO_SOURCE = Basis(title="School's own sheet", section="not stated", standing=Standing.PRACTICE)

_YES = {"yes", "y", "true", "1", "x", "required", "needed"}
_NO = {"no", "n", "false", "0", "optional", "bonus"}
_SIGNS = {
    "≥": "at least", ">=": "at least", "≤": "at most", "<=": "at most", ">": "above",
    "<": "below", "=": "exactly", "~": "about", "minimum": "at least", "maximum": "at most",
    "min.": "at least", "max.": "at most", "over": "above", "under": "below",
    "more than": "above", "less than": "below", "not less than": "at least",
    "no less than": "at least", "not more than": "at most", "no more than": "at most",
}  # fmt: skip
_UNITS = {
    "inch": "in", "inches": "in", '"': "in", "feet": "ft", "foot": "ft", "minute": "min",
    "minutes": "min", "second": "s", "seconds": "s", "sec": "s", "volt": "V", "volts": "V",
    "v": "V", "f": "F", "°f": "F", "degrees": "degree", "°": "degree", "%": "percent",
    "pound": "lb", "pounds": "lb", "lbs": "lb", "units": "unit", "": "count",
}  # fmt: skip
_NUMBER = r"\d+(?: \d+/\d+|/\d+|\.\d+)?"
_LIMIT = re.compile(
    rf"(?P<how>.*?)\s*(?P<low>{_NUMBER})(?: (?:and|to) (?P<high>{_NUMBER}))?\s*(?P<unit>\D*)"
)
_RANGE = re.compile(rf"({_NUMBER})(?: (?:to|and) ({_NUMBER}))?")
_DATE = re.compile(
    r"\b(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\b|\d[-/]\d+[-/]\d", re.IGNORECASE
)
_SOURCE = re.compile(r"(?P<title>.+?)(?: / (?P<section>.+?))?(?: \[(?P<standing>[^\]]+)\])?")


def column_of(name: str) -> str:
    """The column that a heading means.

    Raises
    ------
    ValueError : none is called so; the nearest is offered.
    """
    plain = " ".join(name.casefold().replace("_", " ").split())
    if plain in COLUMNS:
        return plain
    near = process.extractOne(plain, list(COLUMNS), score_cutoff=60)
    offered = f"did you mean {near[0]!r}?" if near else f"known: {', '.join(COLUMNS)}"
    raise ValueError(f"no column is called {name!r}; {offered}")


def entries(cell: str) -> list[str]:
    """The entries of a cell, without empty ones."""
    parts = re.split(r"(?<!\\);", cell)
    return [text for part in parts if (text := part.replace("\\;", ";").strip())]


def joined(values: Iterable[str]) -> str:
    """Entries as one cell."""
    return "; ".join(value.replace(";", "\\;") for value in values)


def yes(cell: str, default: bool) -> bool:
    """A yes or no."""
    plain = cell.casefold()
    if plain in _YES or plain in _NO or not plain:
        return default if not plain else plain in _YES
    raise ValueError(f"{cell!r} is neither yes nor no")


def rules(cell: str) -> dict[str, list[str]]:
    """Rules on the vehicle: ``lift is fitted; front_brakes is drum or disc``."""
    found: dict[str, list[str]] = {}
    for text in entries(cell):
        key, middle, words = text.partition(" is ")
        if not middle or key.strip() in found:
            raise ValueError(f"{text!r} is no rule; write: lift is fitted; fuel is diesel or gas")
        found[key.strip()] = [word.strip() for word in words.split(" or ")]
    return found


def rules_text(given: Iterable[Fitted]) -> str:
    """Rules as one cell."""
    return joined(f"{rule.key} is {' or '.join(rule.values)}" for rule in given)


def limit_of(number: str, quantity: str, accept: str) -> dict[str, object]:
    """A limit as it stands in a checklist file.

    Without `accept` the rule's own numbers alone count as right.
    """
    for cell in (number, accept):
        if _DATE.search(cell):
            raise ValueError(
                f"{cell!r} looks like a date; spreadsheets make one of 4/32 or 3-5. Format the "
                "column as text and type it again"
            )
    found = _LIMIT.fullmatch(number)
    if not found:
        raise ValueError(
            f"{number!r} is no number; write: at least 4/32 in, between 120 and 140 psi"
        )
    comparator = _comparator(found["how"], found["high"] is not None)
    unit = _UNITS.get(found["unit"].strip().casefold(), found["unit"].strip())
    if unit not in UNITS:
        raise ValueError(f"unit {unit!r} is not one of: {', '.join(UNITS)}")
    limit: dict[str, object] = {"quantity": quantity, "comparator": comparator}
    low, high = found["low"], found["high"] or found["low"]
    if comparator in (Comparator.AT_MOST, Comparator.BELOW):
        limit["high"] = high
    else:
        limit["low"] = low
    if comparator == Comparator.BETWEEN:
        limit["high"] = high
    first, last = _accepted(accept) if accept else (low, high)
    for text in (low, high, first, last):
        parse_number(text)
    return {**limit, "unit": unit, "accept": [first, last]}


def _comparator(how: str, is_range: bool) -> str:
    plain = " ".join(how.casefold().split())
    plain = _SIGNS.get(plain, plain)
    if is_range and plain in ("", "between", "from"):
        return str(Comparator.BETWEEN)
    if plain == "" and not is_range:
        return str(Comparator.EXACTLY)
    if plain not in tuple(Comparator) or is_range or plain == Comparator.BETWEEN:
        known = ", ".join(Comparator)
        raise ValueError(f"{how!r} does not say how the number binds; write one of: {known}")
    return plain


def _accepted(cell: str) -> tuple[str, str]:
    found = _RANGE.fullmatch(cell)
    if not found:
        raise ValueError(f"{cell!r} is no range; write: 120 to 140")
    return found[1], found[2] or found[1]


def limit_cells(limit: Limit) -> tuple[str, str, str]:
    """The cells ``number``, ``of`` and ``accept`` of a limit."""

    def text(value: Fraction | None) -> str:
        return "" if value is None else number_text(value, limit.quantity)

    if limit.comparator is Comparator.BETWEEN:
        number = f"between {text(limit.low)} and {text(limit.high)} {limit.unit}"
    else:
        number = f"{limit.comparator} {text(limit.low) or text(limit.high)} {limit.unit}"
    accept = f"{text(limit.accept_low)} to {text(limit.accept_high)}"
    return number, limit.quantity, accept


def number_text(value: Fraction, quantity: str = "") -> str:
    """``120``, ``2.5``, ``4/32`` (tread) or ``7/3``: as `parse_number` reads it back."""
    # Tread is read in thirty-seconds; 4/32 must not become 1/8 on a sheet.
    if quantity == "tread depth" and value and (value * 32).denominator == 1:
        return f"{value * 32}/32"
    return str(value)


def minutes_text(value: Fraction) -> str:
    """``4``, ``1.5``; ``7/3`` where decimals would not end."""
    seconds = value * 60
    if seconds.denominator == 1 and seconds % 3 == 0:
        return f"{int(seconds) / 60:.2f}".rstrip("0").rstrip(".")
    return str(value)


def source_of(text: str) -> Basis:
    """A source from ``title / section [standing]``; no standing: common practice."""
    found = _SOURCE.fullmatch(text)
    if not found:
        raise ValueError(f"{text!r} is no source; write: title / section [published]")
    standing = found["standing"] or Standing.PRACTICE
    if standing not in tuple(Standing):
        raise ValueError(f"standing {standing!r} is not one of: {', '.join(Standing)}")
    return Basis(
        title=found["title"],
        section=found["section"] or NO_SOURCE.section,
        standing=Standing(standing),
    )


def source_text(basis: Basis) -> str:
    """A source as an entry of a cell."""
    return f"{basis.title} / {basis.section} [{basis.standing}]"
