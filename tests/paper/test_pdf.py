"""The PDF sheet, read back with pypdf (a general-purpose library that did not write it)."""

from __future__ import annotations

import io
from functools import cache

import pytest
from paper_pairs import CLASSIC, PAIRS, checklist, fitted, profile, tight
from pypdf import PdfReader

from walkgrade.checklists.listing import limit_text
from walkgrade.paper.content import NOTICE, sheet_of
from walkgrade.paper.pdf import SIZES, render_pdf
from walkgrade.paper.records import Kind, Names


@cache
def made(kind: Kind, pair: tuple[str, str], size: str = "letter") -> bytes:
    return render_pdf(sheet_of(kind, checklist(pair[0]), profile(pair[1])), size=size)


@cache
def pages(data: bytes) -> list[str]:
    return [tight(page.extract_text()) for page in PdfReader(io.BytesIO(data)).pages]


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_cautions_and_notice_are_on_the_first_page(kind: Kind, pair: tuple[str, str]) -> None:
    first, *rest = pages(made(kind, pair))
    assert tight(NOTICE) in first
    for caution in checklist(pair[0]).cautions:
        assert tight(caution) in first, caution
    for number, text in enumerate([first, *rest], start=1):
        assert "Forpracticeonly.Noofficialform." in text
        assert f"page{number}of{len(rest) + 1}" in text


@pytest.mark.parametrize("kind", [Kind.CLIPBOARD, Kind.STUDY])
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_each_row_stands_whole_on_one_page(kind: Kind, pair: tuple[str, str]) -> None:
    there = pages(made(kind, pair))
    for item in fitted(*pair).items:
        texts = [item.title, item.caution, *(r.says for r in item.requirements if r.required)]
        if kind is Kind.STUDY:
            texts += [item.why, *(limit_text(r.limit) for r in item.requirements if r.limit)]
        assert any(all(tight(text) in page for text in texts) for page in there), item.id


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_a_box_for_each_part_and_each_thing_to_say(pair: tuple[str, str]) -> None:
    text = "".join(pages(made(Kind.CLIPBOARD, pair)))
    asked = sum(r.required for item in fitted(*pair).items for r in item.requirements)
    assert text.count("☐") == len(fitted(*pair).items) + asked


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_the_head_of_a_section_is_repeated_on_each_page(pair: tuple[str, str]) -> None:
    titles = [tight(section.title) for section in fitted(*pair).sections]
    there = pages(made(Kind.CLIPBOARD, pair))
    assert len(there) > 3
    for text in there:
        assert any(title in text for title in titles)
        assert "mustbesaid" in text
    for title in titles:
        assert sum(text.count(f"{title}") for text in there) >= 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_the_card_is_one_page_with_all_limits_and_sources(pair: tuple[str, str], size: str) -> None:
    (text,) = pages(made(Kind.NUMBERS, pair, size))
    limits = [(i, r) for i in fitted(*pair).items for r in i.requirements if r.limit]
    assert limits
    for item, r in limits:
        assert r.limit is not None
        assert tight(limit_text(r.limit)) in text
        assert tight(r.limit.quantity) in text
        assert tight(r.says) in text
        assert tight(item.title) in text
        for basis in r.basis:
            assert tight(basis.title) in text
            assert tight(f"{basis.section} ({basis.standing})") in text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", Kind)
def test_the_paper_has_its_size(kind: Kind, size: str) -> None:
    reader = PdfReader(io.BytesIO(made(kind, CLASSIC, size)))
    for page in reader.pages:
        assert (page.mediabox.width, page.mediabox.height) == pytest.approx(SIZES[size], abs=0.01)


@pytest.mark.parametrize("kind", Kind)
def test_the_same_sheet_is_the_same_file(kind: Kind) -> None:
    sheet = sheet_of(kind, checklist(CLASSIC[0]), profile(CLASSIC[1]))
    assert render_pdf(sheet) == render_pdf(sheet) == made(kind, CLASSIC)
    told = PdfReader(io.BytesIO(render_pdf(sheet))).metadata
    assert told is not None
    assert told.title == f"{sheet.title}: {sheet.checklist}"
    assert told.creation_date is not None
    assert told.creation_date.year == 2000  # no clock


@pytest.mark.parametrize("given", ["Łukasz Öz & <Co>", "Nguyễn Thị", "Δημήτρης", "Ünal <b>"])
def test_names_of_any_alphabet_with_letters_are_printed(given: str) -> None:
    names = Names(trainee=given, date="6 March 2026")
    sheet = sheet_of(Kind.CLIPBOARD, checklist(CLASSIC[0]), profile(CLASSIC[1]), names)
    first = pages(render_pdf(sheet))[0]
    assert tight(given) in first
    assert tight("6 March 2026") in first


def test_the_vehicle_switches_items_off() -> None:
    air, lift = (
        "".join(pages(made(Kind.CLIPBOARD, (CLASSIC[0], vehicle))))
        for vehicle in ("yard-bus-air", "yard-bus-lift")
    )
    assert "Brakedrum,frontaxle" in air
    assert "Brakedrum,frontaxle" not in lift
    assert "Brakepads,frontaxle" not in air
    assert "Brakepads,frontaxle" in lift
