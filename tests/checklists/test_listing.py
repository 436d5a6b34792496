"""A checklist as text: every id for people who write scripts, plain words for trainees."""

from __future__ import annotations

from fractions import Fraction

import pytest

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.listing import describe, limit_text
from walkgrade.checklists.records import Checklist, Comparator, Limit, VehicleProfile


def test_the_listing_with_ids_shows_every_id(classic: Checklist) -> None:
    text = describe(classic, ids=True)
    for item in classic.items:
        assert f"{item.id}: {item.title}" in text
        for requirement in item.requirements:
            assert f"- {requirement.id}: {requirement.says}" in text


def test_the_plain_sheet_shows_words_and_cautions_but_no_ids(
    modern: Checklist, air_bus: VehicleProfile
) -> None:
    fitted = applicable(modern, air_bus)
    text = describe(fitted)
    assert all(f"Caution: {caution}" in text for caution in modern.cautions)
    assert all(item.title in text and item.why in text for item in fitted.items)
    assert not any(requirement.id in text for i in fitted.items for requirement in i.requirements)
    assert "only if" not in text
    assert text.isprintable() or set(filter(lambda c: not c.isprintable(), text)) == {"\n"}


F = Fraction


@pytest.mark.parametrize(
    ("quantity", "comparator", "low", "high", "unit", "text"),
    [
        ("tread depth", Comparator.AT_LEAST, F(4, 32), None, "in", "at least 4/32 in"),
        ("lining thickness", Comparator.AT_LEAST, F(1, 4), None, "in", "at least 1/4 in"),
        ("cut-out", Comparator.BETWEEN, F(120), F(140), "psi", "between 120 and 140 psi"),
        ("belt play", Comparator.AT_MOST, None, F(3, 4), "in", "at most 3/4 in"),
        ("temperature", Comparator.ABOUT, F(190), None, "F", "about 190 °F"),
        ("DEF level", Comparator.ABOVE, F(1, 8), None, "fraction", "above 1/8"),
    ],
)
def test_limits_read_like_the_trade_says_them(
    quantity: str,
    comparator: Comparator,
    low: Fraction | None,
    high: Fraction | None,
    unit: str,
    text: str,
) -> None:
    limit = Limit(
        quantity=quantity, comparator=comparator, low=low, high=high,
        accept_low=F(0), accept_high=F(200), unit=unit,
    )  # fmt: skip
    assert limit_text(limit) == text
