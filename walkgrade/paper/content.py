"""From a checklist and a vehicle to what stands on a sheet.

Decides: what each sheet holds. The clipboard asks for what is required and nothing else; the study
sheet adds what is good to say; the number card joins equal numbers into one row and gives each
its sources.
Conventions: pure; sections, items and places keep the order of the checklist, which is the order of
the walk. Every sheet carries the checklist's cautions and `NOTICE`.
Public: `sheet_of`, `NOTICE`, `TITLES`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import groupby

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.listing import limit_text
from walkgrade.checklists.records import (
    Basis,
    Checklist,
    Item,
    Limit,
    Requirement,
    VehicleProfile,
)
from walkgrade.paper.records import (
    Block,
    Figure,
    Kind,
    Line,
    Mark,
    Names,
    Sheet,
    Source,
    Stop,
)

NOTICE = (
    "For practice only. This is no official form and no official score; it knows no official pass "
    "mark and proves no proficiency. Your state's manual, local rules, the examiner and your "
    "instructor decide."
)
TITLES = {
    Kind.CLIPBOARD: "Clipboard sheet",
    Kind.STUDY: "Study sheet",
    Kind.NUMBERS: "Number card",
}

_Limited = tuple[Item, Requirement, Limit]


def sheet_of(
    kind: Kind, checklist: Checklist, profile: VehicleProfile, names: Names | None = None
) -> Sheet:
    """The sheet of what `profile` has.

    Raises
    ------
    FaultyFileError : C05, the profile contradicts the checklist.
    """
    fitted = applicable(checklist, profile)
    figures, sources = _figures(fitted) if kind is Kind.NUMBERS else ((), ())
    return Sheet(
        kind=kind,
        title=TITLES[kind],
        checklist=fitted.title,
        edition=fitted.edition,
        mark=f"{fitted.id} {fitted.version}, {profile.id}",
        vehicle=profile.title,
        minutes=_minutes(fitted.budget_s),
        items=len(fitted.items),
        names=names or Names(),
        notice=NOTICE,
        cautions=fitted.cautions,
        blocks=() if kind is Kind.NUMBERS else tuple(_blocks(fitted, kind)),
        figures=figures,
        sources=sources,
    )


def _minutes(seconds: int) -> str:
    return f"{float(Fraction(seconds, 60)):g} min"


def _blocks(checklist: Checklist, kind: Kind) -> Iterator[Block]:
    places = {place.id: place.title for place in checklist.places}
    number = 0
    for section in checklist.sections:
        here = [item for item in checklist.items if item.section == section.id]
        stops = []
        for place, items in groupby(here, key=lambda item: item.place):
            lines = []
            for item in items:
                number += 1
                lines.append(_line(number, item, kind))
            stops.append(Stop(place=places[place], lines=tuple(lines)))
        yield Block(
            title=section.title,
            minutes=_minutes(section.budget_s),
            ordered=section.procedure,
            stops=tuple(stops),
        )


def _line(number: int, item: Item, kind: Kind) -> Line:
    return Line(
        number=number,
        item=item.id,
        title=item.title,
        marks=tuple(
            Mark(
                id=one.id,
                says=one.says,
                number=limit_text(one.limit) if one.limit else "",
                needed=one.required,
            )
            for one in item.requirements
            if one.required or kind is Kind.STUDY
        ),
        why=item.why,
        caution=item.caution,
        critical=item.critical,
        step=item.step,
    )


def _figures(checklist: Checklist) -> tuple[tuple[Figure, ...], tuple[Source, ...]]:
    """Equal numbers (quantity, limit, sources, asked or not) become one figure."""
    joined: dict[tuple[object, ...], list[_Limited]] = {}
    for item in checklist.items:
        for one in item.requirements:
            if one.limit:
                key = (one.limit.quantity, limit_text(one.limit), one.basis, one.required)
                joined.setdefault(key, []).append((item, one, one.limit))
    numbers = _numbered(one.basis for together in joined.values() for _, one, _ in together)
    parts = _parts(checklist)
    figures = tuple(_figure(together, parts, numbers) for together in joined.values())
    return figures, tuple(
        Source(
            number=number,
            title=basis.title,
            section=basis.section,
            standing=str(basis.standing),
        )
        for basis, number in numbers.items()
    )


def _numbered(all_sources: Iterable[tuple[Basis, ...]]) -> dict[Basis, int]:
    """Numbers of the sources; those of one title follow each other."""
    found = list(dict.fromkeys(basis for sources in all_sources for basis in sources))
    titles = list(dict.fromkeys(basis.title for basis in found))
    ordered = sorted(found, key=lambda basis: titles.index(basis.title))
    return {basis: number for number, basis in enumerate(ordered, start=1)}


def _figure(together: list[_Limited], parts: dict[str, str], numbers: dict[Basis, int]) -> Figure:
    _, first, limit = together[0]
    return Figure(
        quantity=limit.quantity,
        limit=limit_text(limit),
        parts=tuple(dict.fromkeys(parts[item.id] for item, *_ in together)),
        wordings=tuple(dict.fromkeys(one.says for _, one, _ in together)),
        sources=tuple(sorted(numbers[basis] for basis in first.basis)),
        needed=first.required,
        critical=first.required and any(item.critical for item, *_ in together),
    )


def _parts(checklist: Checklist) -> dict[str, str]:
    """The title of each item by id, with its place where the title alone is not enough."""
    places = {place.id: place.title for place in checklist.places}
    count = Counter(item.title for item in checklist.items)
    return {
        item.id: item.title
        if count[item.title] == 1
        else f"{item.title} ({places[item.place].lower()})"
        for item in checklist.items
    }
