"""The HTML page: valid, self-contained, accessible, and deaf to hostile text."""

from __future__ import annotations

import base64
import copy
import hashlib
import json
import re
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

import pytest
from big_run import big_document
from example_run import example
from html_reader import Page
from hypothesis import given, settings
from hypothesis import strategies as st

from walkgrade.grading.records import Review
from walkgrade.matching.records import ItemOutcome
from walkgrade.reports.document import STATEMENT, parse_document
from walkgrade.reports.page import render_page
from walkgrade.reports.restore import regrade

CSS = files("walkgrade.reports").joinpath("templates", "page.css").read_text(encoding="utf-8")


def _reviewed() -> dict[str, Any]:
    call = Review(
        item="cab.mirrors",
        old=ItemOutcome.NEEDS_LISTENING,
        new=ItemOutcome.COMPLETE,
        who="Ada Quill",
        when="2030-05-02T10:00:00",
        why="heard",
    )
    return regrade(example().document(), (call,))


DOCUMENTS = {
    "small": lambda: example().document(),
    "untimed": lambda: example(timed=False).document(),
    "reviewed": _reviewed,
    "full size": big_document,
}


@cache
def _page(name: str) -> Page:
    return Page.of(render_page(DOCUMENTS[name](), audio="./run-1.wav"))


@pytest.fixture(params=list(DOCUMENTS))
def page(request: pytest.FixtureRequest) -> Page:
    return _page(request.param)


def test_tags_are_balanced(page: Page) -> None:
    assert page.faults == []


def test_ids_are_unique_and_links_arrive(page: Page) -> None:
    ids = page.ids()
    assert len(ids) == len(set(ids))
    goals = [link["href"][1:] for link in page.all("a") if link.get("href", "").startswith("#")]
    assert goals
    assert set(goals) <= set(ids)
    labels = [
        name
        for _, attrs in page.tags
        for key in ("aria-labelledby", "aria-describedby")
        for name in attrs.get(key, "").split()
    ]
    assert set(labels) <= set(ids)


def test_headings_step_down_one_at_a_time(page: Page) -> None:
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert all(text.strip() for _, text in page.headings)


def test_summary_comes_first_and_drills_second(page: Page) -> None:
    titles = [text for level, text in page.headings if level == 2]
    assert titles[:2] == ["Summary", "Drill next"]


def test_page_names_its_language_and_title(page: Page) -> None:
    assert page.all("html")[0]["lang"] == "en"
    assert page.all("title")
    assert page.all("meta")[0] == {"charset": "utf-8"}


def test_skip_link_is_the_first_link(page: Page) -> None:
    assert page.all("a")[0] == {"class": "skip", "href": "#main"}
    assert page.all("main")[0]["id"] == "main"


def test_table_headers_have_a_scope(page: Page) -> None:
    headers = page.all("th")
    assert headers
    assert all(header.get("scope") in ("col", "row") for header in headers)


def test_pictures_have_a_name_or_are_hidden(page: Page) -> None:
    for picture in page.all("svg"):
        named = picture.get("role") == "img" and picture.get("aria-labelledby")
        assert named or picture.get("aria-hidden") == "true"


def test_scrolling_regions_can_be_reached_by_keyboard(page: Page) -> None:
    for tag, attrs in page.tags:
        if attrs.get("class") == "scroll":
            assert tag == "div"
            assert attrs["tabindex"] == "0"
            assert "aria-label" in attrs or "aria-labelledby" in attrs


def test_nothing_comes_from_outside(page: Page) -> None:
    for tag, attrs in page.tags:
        assert tag not in ("link", "img", "iframe", "object", "embed", "base")
        assert not [key for key in attrs if key.startswith("on")]
        for key in ("href", "src", "srcset", "action", "data", "poster"):
            if key in attrs:
                assert attrs[key].startswith(("#", "./run-1.wav"))
    assert "url(" not in CSS.replace("url(#", "")
    assert "@import" not in CSS


def test_content_policy_allows_only_our_own_script(page: Page) -> None:
    policy = next(
        meta["content"]
        for meta in page.all("meta")
        if meta.get("http-equiv") == "Content-Security-Policy"
    )
    (script,) = page.scripts
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert "default-src 'none'" in policy
    assert f"script-src 'sha256-{digest}'" in policy
    assert "http" not in policy


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_statement_and_cautions_stand_at_top_and_bottom(name: str) -> None:
    document = DOCUMENTS[name]()
    text = " ".join(" ".join(Page.of(render_page(document)).text).split())
    top, bottom = text[: text.index("Drill next")], text[text.index("Graded by") - 2_000 :]
    for told in (STATEMENT, *document["cautions"]):
        assert told in top
        assert told in bottom


def test_every_item_requirement_and_line_is_there() -> None:
    document = big_document()
    page = Page.of(render_page(document))
    text = " ".join(" ".join(page.text).split())
    for item in document["items"]:
        assert item["title"] in text
        for part in item["requirements"]:
            assert part["says"] in text
            assert part["row"] in text
            for basis in part["basis"]:
                assert basis["title"] in text
                assert basis["section"] in text
                assert basis["standing"] in text
    assert len(page.all("li")) > len(document["items"]) + len(document["lines"])


def test_outcomes_are_told_in_words() -> None:
    document = big_document()
    html = render_page(document)
    for kind in ItemOutcome:
        count = sum(item["outcome"] == kind for item in document["items"])
        assert count
        assert html.count(f'data-outcome="{kind}"') == count
        assert html.count(f'<span class="word">{kind.capitalize()}</span>') == count


def test_moments_play_with_sound_and_lead_to_the_line_without() -> None:
    document = example().document()
    silent = Page.of(render_page(document))
    assert not [link for link in silent.all("a") if link.get("class") == "at play"]
    assert not silent.all("audio")
    loud = Page.of(render_page(document, audio="./run-1.wav"))
    plays = [link for link in loud.all("a") if link.get("class") == "at play"]
    assert {"class": "at play", "data-at": "50000", "href": "./run-1.wav#t=50"} in plays
    inside = Page.of(render_page(document, audio="data:audio/wav;base64,AAAA", embedded=True))
    assert inside.all("audio")[0]["src"] == "data:audio/wav;base64,AAAA"
    hrefs = {link["href"] for link in inside.all("a") if link.get("class") == "at play"}
    assert hrefs == {"#player"}


def test_untimed_page_says_not_known() -> None:
    html = render_page(example(timed=False).document())
    text = " ".join(" ".join(Page.of(html).text).split())
    assert "Not known: the transcript has no times" in text
    assert not re.search(r"(?<![\d:])0:0\d", text)
    assert '<svg class="timeline"' not in html


def test_reviews_show_both_calls() -> None:
    text = " ".join(" ".join(Page.of(render_page(_reviewed())).text).split())
    assert "needs listening → complete" in text
    assert "Ada Quill, 2030-05-02 10:00:00" in text


def test_a_close_call_is_told_as_counted_and_to_be_heard() -> None:
    text = " ".join(" ".join(Page.of(render_page(example().document())).text).split())
    assert "1 item could not be decided from the recording and counts as not complete" in text
    assert "1 item is a close call: it counts as complete unless someone hears otherwise." in text
    assert "close call: confirm by ear" in text
    assert "Close calls 1 item among the complete , to be confirmed by ear" in text


def older(document: dict[str, Any]) -> dict[str, Any]:
    """The document as it was written before there were close calls."""
    old = copy.deepcopy(document)
    for tally in (old["totals"], *(row["tally"] for row in old["sections"])):
        del tally["close_calls"]
    for item in old["items"]:
        del item["close_call"]
    old["listening"] = [row for row in old["listening"] if not row["counted"]]
    for row in old["listening"]:
        del row["counted"]
    return old


def test_older_documents_are_read_and_have_no_close_calls() -> None:
    old = parse_document(json.dumps(older(example().document())))
    text = " ".join(Page.of(render_page(old)).text)
    assert "close call" not in text
    again = regrade(old, ())
    assert again["totals"]["close_calls"] == 0
    assert older(again) == older(old)


def test_same_document_gives_the_same_page() -> None:
    assert render_page(big_document()) == render_page(big_document())


# --- hostile text -----------------------------------------------------------------------------

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'><svg onload=alert(1)>",
    "</style></title></textarea><b>",
    "{{ 7*7 }}{% raw %}",
    "javascript:alert(1)",
    "\u202e\u0000<!--",
    "]]><![CDATA[",
)
PATHS = ("attempt", "lines", "items", "places", "sections", "remarks", "drills", "cautions")


def _poison(value: Any, text: str, key: str = "") -> Any:
    """Every free text of a document replaced; ids, enums and figures stay."""
    free = {
        "trainee", "vehicle", "group", "note", "taken_at", "title", "says", "why", "caution", "row",
        "reason", "quote", "text", "advice", "because", "sentence", "who", "when", "said",
        "accepted", "section_title", "owner", "statement", "rate_note", "edition", "model",
    }  # fmt: skip
    if isinstance(value, dict):
        return {name: _poison(inner, text, name) for name, inner in value.items()}
    if isinstance(value, list):
        return [_poison(inner, text, key) for inner in value]
    if isinstance(value, str) and (key in free or key in ("cautions", "missing", "notices")):
        return text
    return value


def _shape(html: str) -> list[tuple[str, tuple[str, ...]]]:
    return [(tag, tuple(attrs)) for tag, attrs in Page.of(html).tags]


PLAIN = _shape(render_page(_poison(_reviewed(), "plain"), audio="./run-1.wav"))


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_changes_no_tag(text: str) -> None:
    html = render_page(_poison(_reviewed(), text), audio="./run-1.wav")
    assert _shape(html) == PLAIN
    assert Page.of(html).faults == []


@settings(max_examples=30, deadline=None)
@given(st.text(alphabet=st.sampled_from("<>&\"'=/ ab{}%`-!\n"), min_size=1, max_size=30))
def test_no_text_of_a_run_becomes_markup(text: str) -> None:
    if not text.strip():
        return
    html = render_page(_poison(_reviewed(), text), audio="./run-1.wav")
    assert _shape(html) == PLAIN


def test_hostile_ids_cannot_break_the_page() -> None:
    document = copy.deepcopy(example().document())
    for number, line in enumerate(document["lines"]):
        line["id"] = f'x" onclick="alert({number})'
    page = Page.of(render_page(document))
    assert page.faults == []
    assert len(page.ids()) == len(set(page.ids()))
    assert not [attrs for _, attrs in page.tags if "onclick" in attrs]


# --- contrast ---------------------------------------------------------------------------------


def _scheme(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{3,6})", block))


def _luminance(colour: str) -> float:
    """Relative luminance as in WCAG 2.2, section "relative luminance"."""
    digits = colour.lstrip("#")
    if len(digits) == 3:
        digits = "".join(letter * 2 for letter in digits)
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _contrast(one: str, two: str) -> float:
    high, low = sorted((_luminance(one), _luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


LIGHT = _scheme(CSS.split("@media (prefers-color-scheme: dark)")[0])
DARK = _scheme(CSS.split("@media (prefers-color-scheme: dark)")[1].split("@page")[0])
PRINT = _scheme(CSS.split("@media print")[1])
TEXTS = ("ink", "soft", "link", "good", "part", "bad", "doubt")
GROUNDS = ("paper", "sheet", "wash", "flag", "marker")


def test_contrast_is_computed_as_the_standard_says() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known 4.54:1.
    assert _contrast("#000", "#ffffff") == pytest.approx(21)
    assert _contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("scheme", [LIGHT, DARK, PRINT], ids=["light", "dark", "print"])
@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("ground", GROUNDS)
def test_text_contrast_meets_aa(scheme: dict[str, str], text: str, ground: str) -> None:
    """WCAG 2.2, success criterion 1.4.3: at least 4.5:1."""
    assert _contrast(scheme[text], scheme[ground]) >= 4.5


@pytest.mark.parametrize("scheme", [LIGHT, DARK, PRINT], ids=["light", "dark", "print"])
@pytest.mark.parametrize("part", ["edge", "bar"])
def test_graphic_contrast_meets_aa(scheme: dict[str, str], part: str) -> None:
    """WCAG 2.2, success criterion 1.4.11: parts of pictures and controls at least 3:1."""
    assert _contrast(scheme[part], scheme["sheet"]) >= 3
