"""The pictures: every value is printed, every name is drawn as it is."""

from __future__ import annotations

import re
from io import BytesIO
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.image import imread

from walkgrade.school import cohort, improvement
from walkgrade.school.pictures import (
    MOST_COLUMNS,
    MOST_ROWS,
    Picture,
    change_pictures,
    section_pictures,
)


def texts(picture: Picture) -> list[str]:
    tree = ElementTree.fromstring(picture.svg)
    return ["".join(node.itertext()).strip() for node in tree.iter() if node.tag.endswith("}text")]


def heat_maps(data) -> list[Picture]:
    chosen = cohort.choose(data.attempts)
    names = dict(zip(chosen["trainee"], chosen["who"], strict=True))
    return list(section_pictures(cohort.sections(data, chosen), names))


def test_every_value_is_printed(group) -> None:
    (picture,) = heat_maps(group(("Ann", "CCCM"), ("Bob", "CMM-")))
    said = texts(picture)
    assert [text for text in said if re.fullmatch(r"\d+|-", text)] == [
        "100", "50", "75", "50", "0", "33", "75", "33", "57",
    ]  # fmt: skip
    for word in ("Ann", "Bob", "Section p", "Section q", "All items", "All trainees"):
        assert word in said


def test_what_is_not_known_is_a_dash(group) -> None:
    (picture,) = heat_maps(group(("Ann", "CC--"), ("Bob", "CCCC")))
    assert "-" in texts(picture)


@pytest.mark.parametrize(
    "name", ["$x^2$", "$", "a_b", "<b>&", "=1+1", "张伟", "ة", "\\frac", "x" * 80, "é" * 3]
)
def test_names_are_drawn_as_they_are(group, name: str) -> None:
    data = group((name, "CCCM"), (name, "CCCC"), ("Bob", "MMMM"))
    (picture,) = heat_maps(data)
    shown = name if len(name) <= 18 else f"{name[:17]}…"
    assert shown in texts(picture)
    (change,) = change_pictures(improvement.changes(data), 80)
    assert (name if len(name) <= 24 else f"{name[:23]}…") in texts(change)


def test_a_wide_group_is_cut_into_pictures(group) -> None:
    data = group(*((f"T-{n:03}", "CCCM") for n in range(MOST_COLUMNS * 2 + 1)))
    pictures = heat_maps(data)
    assert len(pictures) == 3
    assert "part 2 of 3" in pictures[1].text
    drawn = [text for picture in pictures for text in texts(picture) if text.startswith("T-")]
    assert drawn == [f"T-{n:03}" for n in range(MOST_COLUMNS * 2 + 1)]
    runs = [(f"T-{n:03}", letters) for n in range(MOST_ROWS + 1) for letters in ("MMMM", "CCCC")]
    assert len(list(change_pictures(improvement.changes(group(*runs)), None))) == 2


def test_first_and_last_and_the_school_s_own_target(group) -> None:
    table = improvement.changes(group(("Ann", "CMMM"), ("Ann", "CCCM"), ("Bob", "CCCC")))
    (picture,) = change_pictures(table, 80)
    assert {"25", "75", "school's own target 80 %"} <= set(texts(picture))
    (without,) = change_pictures(table, None)
    assert "target" not in " ".join(texts(without))


def test_nobody_ran_twice(group) -> None:
    assert list(change_pictures(improvement.changes(group(("Ann", "CCCC"))), 80)) == []


def test_the_same_figures_give_the_same_bytes(group) -> None:
    data = group(("Ann", "CCCM"), ("Bob", "CMMM"))
    assert heat_maps(data)[0].svg == heat_maps(data)[0].svg
    assert heat_maps(data)[0].png() == heat_maps(data)[0].png()


def test_the_png_is_the_same_picture_twice_as_fine(group) -> None:
    (picture,) = heat_maps(group(("Ann", "CCCM"), ("Bob", "CMMM")))
    pixels = imread(BytesIO(picture.png()))
    assert pixels.shape[:2] == (2 * picture.height, 2 * picture.width)
    assert 0.005 < np.mean(pixels[:, :, :3].min(axis=2) < 0.5) < 0.6


def test_letters_stand_out_from_every_shade() -> None:
    """Contrast of at least 4.5 to 1 (WCAG 2.2, success criterion 1.4.3)."""
    from matplotlib.colors import LinearSegmentedColormap

    from walkgrade.school import pictures as module

    shade = LinearSegmentedColormap.from_list("covered", [module._SHEET, "#a9bac6", module._BAR])
    for value in range(101):
        light = module._luminance(shade(value / 100))
        ink = 1.0 if light < 0.179 else 0.0
        contrast = (max(light, ink) + 0.05) / (min(light, ink) + 0.05)
        assert contrast >= 4.5, value
