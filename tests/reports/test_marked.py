"""Evidence marked in a line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.reports.marked import cut


@pytest.mark.parametrize(
    ("text", "quotes", "marked"),
    [
        ("No leaks here", ["no leaks"], ["No leaks"]),
        ("one two three", ["one two", "two three"], ["one two three"]),
        ("one two three", ["one", "three"], ["one", "three"]),
        ("one two", ["four", "", "  "], []),
        ("İ no leaks", ["no leaks"], ["no leaks"]),
        ("", ["x"], []),
    ],
)
def test_marks(text: str, quotes: list[str], marked: list[str]) -> None:
    assert [piece for piece, flag in cut(text, quotes) if flag] == marked


@given(st.text(max_size=40), st.lists(st.text(max_size=8), max_size=4))
def test_pieces_join_to_the_line(text: str, quotes: list[str]) -> None:
    assert "".join(piece for piece, _ in cut(text, quotes)) == text
