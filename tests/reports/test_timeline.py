"""The drawn pictures."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from big_run import big_document
from example_run import example

from walkgrade.reports.timeline import points_bar, timeline

PICTURES = [
    timeline(example().document(), width=344, prefix="a"),
    timeline(big_document(), width=820, prefix="b"),
    points_bar(example().document(), prefix="c"),
]


@pytest.mark.parametrize("picture", PICTURES, ids=["small", "big", "bar"])
def test_pictures_are_well_formed_and_stay_inside(picture: str) -> None:
    root = ElementTree.fromstring(picture)
    width = float(root.attrib["width"])
    for rect in root.iter("rect"):
        x = float(rect.attrib.get("x", 0))
        assert x >= 0
        assert x + float(rect.attrib["width"]) <= width + 3
    assert root.find("title") is not None


def _rects(picture: str, kind: str) -> list[tuple[float, float]]:
    return [
        (float(x), float(w))
        for x, w in re.findall(rf'class="{kind}" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', picture)
    ]


def test_bars_are_as_long_as_the_time_they_stand_for() -> None:
    document = example().document()
    picture = timeline(document, width=670, prefix="t")
    pace = document["pace"]
    # The run lasts 67 s against a budget of 60 s: 670 units wide, ten to the second.
    assert pace["elapsed_ms"] == 67_000
    spans = [(span["start_ms"], span["end_ms"]) for span in pace["spans"]]
    gaps = [(gap["start_ms"], gap["end_ms"]) for gap in pace["silences"]]
    assert gaps
    for kind, wanted in (("spent", spans), ("silence", gaps)):
        drawn = sorted(_rects(picture, kind))
        for (x, wide), (start, end) in zip(drawn, sorted(wanted), strict=True):
            assert x == pytest.approx((start - pace["first_ms"]) / 100, abs=0.1)
            assert wide == pytest.approx((end - start) / 100, abs=0.2)
    (limit,) = re.findall(r'class="limit" x1="([\d.]+)"', picture)
    assert float(limit) == pytest.approx(600)


def test_an_untimed_run_has_no_timeline() -> None:
    assert timeline(example(timed=False).document(), width=344, prefix="t") == ""


def test_axis_labels_do_not_collide() -> None:
    xs = [
        float(x)
        for x in re.findall(r'class="axis[^"]*" x="([\d.]+)"', timeline(big_document(), width=344,
                                                                        prefix="t"))
    ]  # fmt: skip
    assert all(after - before >= 40 for before, after in pairwise(sorted(xs)))


def test_points_bar_shows_earned_open_and_target() -> None:
    document = example().document()
    totals, target = document["totals"], document["target"]
    picture = points_bar(document, prefix="t")
    (earned,) = re.findall(r'class="earned" x="0" y="4" width="([\d.]+)"', picture)
    assert float(earned) == pytest.approx(600 * totals["points"] / totals["points_possible"])
    assert f"target is {target['points_needed']}" in picture


def test_nothing_possible_draws_nothing() -> None:
    document = example().document()
    totals = document["totals"] | {"points_possible": 0}
    assert points_bar(document | {"totals": totals}, prefix="t") == ""


def test_titles_are_escaped() -> None:
    document = example(text="<b>&").document()
    document["sections"][0]["title"] = "<b>&"
    ElementTree.fromstring(timeline(document, width=344, prefix="t"))
