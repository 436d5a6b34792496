"""The page of a group: valid, self-contained, deaf to hostile text, and true to the tables."""

from __future__ import annotations

import base64
import re
from itertools import pairwise
from pathlib import Path

import pytest
from group_factories import number
from html_reader import Page

from walkgrade.school.gather import Gathered, LeftOut
from walkgrade.school.page import render_page
from walkgrade.school.view import view_of

HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=y>{{ 7*7 }}"


def rendered(group, which: str = "latest", name: str = "Ann", target: int | None = None) -> str:
    data = group(
        (name, "CM?I", {"group": name, "day": "2030-05-01"}),
        (name, "CCC-", {"group": name, "day": "2030-05-08", "version": "1.1"}),
        ("Bob", "WNMC", {"critical_open": 2}),
        ("Cyd", "CCCC", {"checklist": "other", "checklist_title": name}),
        numbers=[number(1, "tread", "out of range", name, says=name, accepted=name, title=name)],
        reviews=[(0, "p1", 0, name, "complete"), (0, "p1", 1, "Ortiz", "missed")],
    )
    left = (LeftOut(file=name, code="I61", why=name),)
    gathered = Gathered(frames=data, left_out=left)
    return render_page(view_of(gathered, title=name, which=which, target=target))


@pytest.fixture(params=["latest", "best", "all"])
def page(request: pytest.FixtureRequest, group) -> Page:
    return Page.of(rendered(group, request.param))


def test_tags_are_balanced_and_links_arrive(page: Page) -> None:
    assert page.faults == []
    ids = page.ids()
    assert len(ids) == len(set(ids))
    goals = [link["href"][1:] for tag in ("a", "use") for link in page.all(tag)]
    assert goals
    assert set(goals) <= set(ids)


def test_headings_step_down_one_at_a_time(page: Page) -> None:
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_the_page_asks_for_nothing_else(group) -> None:
    html = rendered(group)
    page = Page.of(html)
    assert page.all("script") == page.all("link") == []
    assert {image["src"].split(",")[0] for image in page.all("img")} == {
        "data:image/svg+xml;base64"
    }
    assert not re.search(r"(?:src|href|url)\s*[=(]\s*[\"']?(?:https?:)?//", html)
    assert "default-src 'none'" in html
    assert all(image["alt"] for image in page.all("img"))


@pytest.mark.parametrize("which", ["latest", "all"])
def test_hostile_text_stays_text(group, which: str) -> None:
    html = rendered(group, which, HOSTILE)
    page = Page.of(html)
    assert page.faults == []
    assert page.all("script") == []
    assert len(page.all("img")) == len(Page.of(rendered(group, which)).all("img"))
    assert HOSTILE in "".join(page.text)
    for image in page.all("img"):
        svg = base64.b64decode(image["src"].split(",")[1])
        assert b"<script" not in svg


def test_what_must_be_said_is_said(group) -> None:
    said = " ".join("".join(Page.of(rendered(group)).text).split())
    for words in (
        "Practice evidence, not official.",
        "School's own target (80 %)",
        "It is not an official pass mark.",
        "do not predict test results",
        "2 checklists stand in this folder",
        "Runs were graded against 2 versions of this checklist",
        "Files not counted",
        "Kappa is Cohen's (1960)",
    ):
        assert words in said, words
    assert "School's own target (90 %)" in " ".join(
        "".join(Page.of(rendered(group, target=90)).text).split()
    )


def test_figures_of_the_summary(group) -> None:
    said = " ".join("".join(Page.of(rendered(group)).text).split())
    assert "2 trainees, 3 runs (2030-05-01 to 2030-05-08)" in said
    assert "the latest run of each trainee (2 runs)" in said
    assert "1 of 2 reached" in said
    # Ann's last run has 3 of 3, Bob's 1 of 4.
    assert "62.5 %" in said


def test_every_outcome_has_a_word_beside_its_box(group) -> None:
    page = Page.of(rendered(group))
    cells = [attrs for attrs in page.all("td") if attrs.get("class", "").startswith("outcome-")]
    uses = page.all("use")
    # Ann 3, Bob 4, Cyd 4.
    assert len(cells) == len(uses) == 11
    text = "".join(page.text)
    for word in ("complete", "wrong", "named only", "missed", "not on this vehicle"):
        assert word in text


def test_nothing_lacking_nothing_to_compare(group) -> None:
    data = group(("Ann", "CCCC"))
    html = render_page(view_of(Gathered(frames=data, left_out=()), title="x"))
    said = "".join(Page.of(html).text)
    assert "Nothing is lacking" in said
    assert "No trainee has two runs yet" in said
    assert "No number was said wrong" in said
    assert "Files not counted" not in said
    assert "Instructors' calls" not in said


def test_the_same_folder_gives_the_same_page(group) -> None:
    assert rendered(group) == rendered(group)


def test_the_templates_are_package_data() -> None:
    from importlib.resources import files

    folder = files("walkgrade.school").joinpath("templates")
    assert {Path(str(one)).name for one in folder.iterdir()} >= {"cohort.css", "cohort.html.j2"}
