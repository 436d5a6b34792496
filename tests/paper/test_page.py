"""The HTML sheet: complete, escaped, alone, and the same every time."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from paper_pairs import CLASSIC, PAIRS, checklist, fitted, profile, tight

from walkgrade.checklists.listing import limit_text
from walkgrade.paper.content import sheet_of
from walkgrade.paper.page import name_lines, render_html
from walkgrade.paper.records import Kind, Names


class Reader(HTMLParser):
    """Cells of the rows of table bodies, all text, and how often each tag and class occurs."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.text = ""
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self._body = self._style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._style = tag == "style"
        self._body = tag == "tbody" or (self._body and tag != "thead")
        if tag == "tr" and self._body:
            self.rows.append([])
        if tag == "td" and self._body:
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == "tbody":
            self._body = False
        if tag == "style":
            self._style = False

    def handle_data(self, data: str) -> None:
        if self._style:
            return
        self.text += data
        if self._body and self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    return reader


def page(kind: Kind, pair: tuple[str, str] = CLASSIC, **names: str) -> str:
    return render_html(sheet_of(kind, checklist(pair[0]), profile(pair[1]), Names(**names)))


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_cautions_and_notice_are_printed(kind: Kind, pair: tuple[str, str]) -> None:
    text = tight(read(page(kind, pair)).text)
    assert "For practice only.".replace(" ", "") in text
    for caution in checklist(pair[0]).cautions:
        assert text.count(tight(caution)) == 1, caution


@pytest.mark.parametrize("kind", [Kind.CLIPBOARD, Kind.STUDY])
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_each_item_is_one_row(kind: Kind, pair: tuple[str, str]) -> None:
    rows = [row for row in read(page(kind, pair)).rows if row]
    items = [i for s in fitted(*pair).sections for i in fitted(*pair).items if i.section == s.id]
    assert [row[0].strip() for row in rows] == [str(n + 1) for n in range(len(items))]
    for row, item in zip(rows, items, strict=True):
        assert tight(item.title) in tight(row[1])
        whole = tight("".join(row))
        assert all(tight(r.says) in whole for r in item.requirements if r.required)
        assert tight(item.caution) in whole
        if kind is Kind.STUDY:
            assert tight(item.why) in whole
            assert all(tight(limit_text(r.limit)) in whole for r in item.requirements if r.limit)


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_a_box_for_each_part_and_each_thing_to_say(pair: tuple[str, str]) -> None:
    boxes = [a for _, a in read(page(Kind.CLIPBOARD, pair)).tags if a.get("class") == "box"]
    asked = sum(r.required for item in fitted(*pair).items for r in item.requirements)
    assert len(boxes) == len(fitted(*pair).items) + asked


def test_a_gap_for_each_number_and_two_for_the_clock_of_each_section() -> None:
    text = tight(read(page(Kind.CLIPBOARD)).text)
    wanted = fitted(*CLASSIC)
    numbers = sum(bool(r.limit) for i in wanted.items for r in i.requirements if r.required)
    assert text.count("(said:)") == numbers > 10
    assert text.count("planned;fromto") == len(wanted.sections)


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_the_card_prints_limits_and_sources(pair: tuple[str, str]) -> None:
    text = tight(read(page(Kind.NUMBERS, pair)).text)
    for item in fitted(*pair).items:
        for r in item.requirements:
            if r.limit:
                assert tight(limit_text(r.limit)) in text
                assert tight(r.limit.quantity) in text
                for basis in r.basis:
                    assert tight(f"{basis.section} ({basis.standing})") in text
                    assert tight(basis.title) in text


def test_heads_are_repeated_and_rows_not_cut() -> None:
    for kind in (Kind.CLIPBOARD, Kind.STUDY):
        text = page(kind)
        heads = [tag for tag, _ in read(text).tags if tag == "thead"]
        assert len(heads) == len(fitted(*CLASSIC).sections)
        assert "display: table-header-group" in text
        assert re.search(r"tr \{ break-inside: avoid", text)
        assert "@page" in text


def test_nothing_is_loaded_and_no_script_runs() -> None:
    for kind in Kind:
        text = page(kind)
        tags = read(text).tags
        assert not {"script", "link", "img", "iframe"} & {tag for tag, _ in tags}
        assert not [a for _, a in tags if "src" in a or "href" in a or "onclick" in a]
        assert "default-src 'none'" in text
        assert "url(" not in text
        assert "http" not in text.replace("http-equiv", "")


def test_names_are_printed_and_escaped() -> None:
    text = page(Kind.CLIPBOARD, trainee="<b>T</b> & {{ 7 }}", date="2026-03-06", vehicle="12")
    assert "<b>T</b>" not in text
    assert "<b>T</b> & {{ 7 }}" in read(text).text
    assert "2026-03-06" in read(text).text


@pytest.mark.parametrize("kind", Kind)
def test_the_same_sheet_is_the_same_page_and_holds_no_date(kind: Kind) -> None:
    assert page(kind) == page(kind)
    assert not re.search(r"20[2-9]\d", read(page(kind)).text)


@pytest.mark.parametrize(
    ("kind", "labels"),
    [
        (Kind.CLIPBOARD, ["Trainee", "Instructor", "Vehicle no.", "Date", "Began", "Ended"]),
        (Kind.STUDY, ["Trainee", "Vehicle no.", "Date"]),
        (Kind.NUMBERS, []),
    ],
)
def test_the_lines_to_write_on(kind: Kind, labels: list[str]) -> None:
    sheet = sheet_of(kind, checklist(CLASSIC[0]), profile(CLASSIC[1]))
    assert [label for label, _ in name_lines(sheet)] == labels
