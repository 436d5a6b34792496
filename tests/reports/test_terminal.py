"""The terminal report: 80 columns, no colour needed, no control signs through."""

from __future__ import annotations

import re
from io import StringIO
from typing import Any

import pytest
from big_run import big_document
from example_run import example
from rich.console import Console

from walkgrade.matching.records import ItemOutcome
from walkgrade.reports.terminal import terminal_report


def _shown(document: dict[str, Any], *, width: int = 80, every_item: bool = False) -> str:
    out = StringIO()
    console = Console(file=out, width=width, no_color=True, force_terminal=False)
    console.print(terminal_report(document, every_item=every_item))
    return out.getvalue()


@pytest.mark.parametrize("width", [60, 80, 120])
@pytest.mark.parametrize("every_item", [False, True])
def test_fits_the_width_without_colour(width: int, every_item: bool) -> None:
    shown = _shown(big_document(), width=width, every_item=every_item)
    assert max(map(len, shown.splitlines())) <= width
    assert "\x1b" not in shown


def test_tells_what_the_trainee_needs() -> None:
    document = big_document()
    shown = " ".join(_shown(document).split())
    totals = document["totals"]
    assert f"{totals['points']} of {totals['points_possible']} points" in shown
    assert f"up to {totals['points_if_confirmed']}" in shown
    assert "not an official pass mark" in shown
    assert "Practice evidence, not official." in shown
    for row in document["drills"]:
        assert row["sentence"] in shown
    for row in document["critical"]:
        assert row["title"] in shown
        assert row["note"] in shown
    for row in document["listening"]:
        assert row["title"].split(",")[0].split()[0] in shown
    assert "report it and do not drive" in shown
    for caution in document["cautions"]:
        assert caution in shown


def test_a_close_call_is_told() -> None:
    shown = _shown(example().document(), width=100)
    assert "1 close call among the complete: confirm by ear." in shown
    assert "(counted, a close call)" in shown


def test_a_critical_item_that_is_complete_says_why_it_stands_there() -> None:
    document = big_document()
    document["critical"][0] |= {"outcome": "complete", "missing": [], "note": "Out of order."}
    title = document["critical"][0]["title"]
    assert f"COMPLETE {title}. Out of order." in _shown(document, width=200)


def test_every_item_that_is_not_complete_can_be_listed() -> None:
    document = big_document()
    shown = " ".join(_shown(document, every_item=True, width=200).split())
    for item in document["items"]:
        if item["outcome"] != ItemOutcome.COMPLETE:
            assert f"{item['outcome']}: {item['title']}" in shown


def test_untimed_run_says_not_known() -> None:
    shown = _shown(example(timed=False).document())
    assert "Not known: the transcript has no times." in shown
    assert not re.search(r"(?<![\d:])0:0\d", shown)


@pytest.mark.parametrize("text", ["\x1b[31mred\x07", "[bold]x[/bold]", "a\rb", "\x9b2J"])
def test_texts_cannot_steer_the_terminal(text: str) -> None:
    shown = _shown(example(text=text).document())
    assert not set(shown) & set("\x1b\x07\r\x9b")
    if text.startswith("[bold]"):
        assert "[bold]x[/bold]" in shown
