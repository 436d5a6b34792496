"""How two words are compared: written form, stem, spelling and sound."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.language.words import likeness, norm, sound, stem


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("Tight.", "tight"),
        ("“Tight,”", "tight"),
        ("driver’s", "driver's"),
        ("(belt)", "belt"),
        (".5", ".5"),
        ("...so", "so"),
        ("4/32", "4/32"),
        ("inch-", "inch"),
        ("?!", ""),
        ("", ""),
    ],
)
def test_norm(text: str, plain: str) -> None:
    assert norm(text) == plain


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("leak", "leaking"),
        ("tire", "tyres"),
        ("gage", "gauges"),
        ("axel", "axles"),
        ("gauges", "gauge"),
        ("nothing's", "nothing"),
        ("bent", "bends"),
        ("torn", "tears"),
        ("lamp", "lights"),
        ("hose's", "hoses"),
        ("Belt", "BELTS"),
    ],
)
def test_words_of_one_stem(one: str, other: str) -> None:
    assert stem(one) == stem(other)


def test_a_stem_settles() -> None:
    """What a spelling is mapped to is the stem of that word, or the two would never meet."""
    words = (
        "tyre gage gauges gauge axel axels axle axles colour centre kerb teeth leaf leaves missing"
    )
    words += (
        " lit lamps torn frayed worn bent broke cut flashers headlamps nothing's nothing fusees"
    )
    assert {w: stem(stem(w)) for w in words.split()} == {w: stem(w) for w in words.split()}


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("fuse", "fusee"),
        ("seal", "sealant"),
        ("alternator", "alternates"),
        ("lining", "lines"),
        ("housing", "house"),
        ("spacing", "space"),
        ("brake", "break"),
        ("worn", "wear"),
        ("steps", "stepping"),
        ("tired", "tires"),
    ],
)  # fmt: skip
def test_words_kept_apart(one: str, other: str) -> None:
    assert stem(one) != stem(other)


@pytest.mark.parametrize(
    ("heard", "meant", "least", "most"),
    [
        ("belt", "belt", 1.0, 1.0),
        ("petman", "pitman", 0.9, 0.99),
        ("alternater", "alternator", 0.9, 0.99),
        ("governer", "governor", 0.9, 0.99),
        ("hub", "tub", 0.0, 0.0),  # short words must be the same
        ("mirror", "window", 0.0, 0.4),
        ("battery", "buttery", 0.9, 0.99),  # alike in every way: only common.txt keeps them apart
    ],
)
def test_likeness(heard: str, meant: str, least: float, most: float) -> None:
    assert least <= likeness(heard, meant) <= most


def test_alike_in_sound() -> None:
    assert sound("brake") == sound("break")
    assert sound("brake") != sound("drum")


LETTERS = st.text("abcdefghijklmnopqrstuvwxyz", max_size=12)


@given(one=LETTERS, other=LETTERS)
def test_likeness_is_a_likeness(one: str, other: str) -> None:
    assert 0.0 <= likeness(one, other) <= 1.0
    assert likeness(one, other) == pytest.approx(likeness(other, one))
    assert likeness(one, one) == 1.0


@given(text=st.text(max_size=12))
def test_norm_settles(text: str) -> None:
    """A word once made plain stays as it is."""
    assert norm(norm(text)) == norm(text)
