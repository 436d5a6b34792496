"""Small checklists by hand, where the real one would only get in the way."""

from __future__ import annotations

from fractions import Fraction

from walkgrade.checklists.records import (
    Basis,
    Checklist,
    Comparator,
    Item,
    Kind,
    Limit,
    Place,
    Requirement,
    Section,
    Standing,
)

BASIS = (Basis(title="Test manual", section="1", standing=Standing.PRACTICE),)


def limit(
    comparator: str, low: str, high: str = "", unit: str = "in", quantity: str = "depth"
) -> Limit:
    """A limit whose accepted range is `low` to `high` (or `low` alone)."""
    return Limit(
        quantity=quantity, comparator=Comparator(comparator), low=Fraction(low), high=None,
        accept_low=Fraction(low), accept_high=Fraction(high or low), unit=unit,
    )  # fmt: skip


def need(
    id: str,
    *concepts: str,
    required: bool = True,
    patterns: tuple[str, ...] = (),
    about: tuple[str, ...] = (),
    limit: Limit | None = None,
) -> Requirement:
    """A requirement met by any of `concepts` or `patterns`, or by a right number."""
    kind = Kind.CONDITION if concepts else Kind.ACTION if patterns else Kind.LIMIT
    return Requirement(
        id=id, row="1", kind=kind, says=id, required=required, concepts=concepts,
        patterns=patterns, about=about, limit=limit, basis=BASIS,
    )  # fmt: skip


def part(
    id: str,
    *requirements: Requirement,
    names: tuple[str, ...] = (),
    section: str = "walk",
    step: int = 0,
    carry_over: tuple[str, ...] = (),
) -> Item:
    """An item whose place is the first half of its id."""
    place, _, short = id.partition(".")
    return Item(
        id=id, title=id, row="1", section=section, place=place, step=step, carry_over=carry_over,
        names=names or (short.replace("-", " "),), requirements=requirements,
    )  # fmt: skip


def listed(*items: Item, cues: dict[str, tuple[str, ...]] | None = None) -> Checklist:
    """A checklist of `items`; sections with steps are procedures."""
    stepped = {item.section for item in items if item.step}
    return Checklist(
        id="mini", version="1", title="Mini", vehicle="bus", edition="none", budget_s=600,
        cautions=("Practice only.",),
        places=tuple(
            Place(id=place, title=place, cues=(cues or {}).get(place, (place.replace("-", " "),)))
            for place in dict.fromkeys(item.place for item in items)
        ),
        sections=tuple(
            Section(id=name, title=name, budget_s=60, procedure=name in stepped)
            for name in dict.fromkeys(item.section for item in items)
        ),
        items=items,
    )  # fmt: skip


def procedure(*names: str, section: str = "drill", place: str = "cab") -> Checklist:
    """An ordered procedure: step ``n`` is met by its own made-up word, ``names[n - 1]``."""
    return listed(
        *(
            part(
                f"{place}.{name}", need(f"{place}.{name}.done", patterns=(name,)),
                names=(f"{name} step",), section=section, step=number,
            )
            for number, name in enumerate(names, 1)
        )
    )  # fmt: skip
