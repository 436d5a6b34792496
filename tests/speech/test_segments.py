"""Words in order, and where a segment ends."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.speech.records import Word
from walkgrade.speech.segments import in_order, segments_of


def word(text: str, start: int, end: int) -> Word:
    return Word(text=text, start=start, end=end, prob=0.5)


@given(
    st.lists(st.tuples(st.integers(0, 5_000), st.integers(0, 5_000)), max_size=40),
    st.integers(100, 4_000),
)
def test_order_holds_whatever_comes_in(times: list[tuple[int, int]], duration: int) -> None:
    words = in_order([word(str(n), a, b) for n, (a, b) in enumerate(times)], duration)
    assert [w.text for w in words] == [str(n) for n in range(len(times))]
    assert all(0 <= w.start < w.end <= duration for w in words)
    assert all(a.end <= b.start for a, b in itertools.pairwise(words))


@given(st.lists(st.integers(1, 500), min_size=1, max_size=40))
def test_good_times_stay_as_they_are(lengths: list[int]) -> None:
    edges = [0, *itertools.accumulate(lengths)]
    words = tuple(word("x", a, b) for a, b in itertools.pairwise(edges))
    assert in_order(words, edges[-1]) == words


@pytest.mark.parametrize(
    ("words", "texts"),
    [
        ([("lug", 0, 100), ("nuts", 100, 200)], ["lug nuts"]),
        ([("lug", 0, 100), ("nuts", 799, 900)], ["lug nuts"]),
        ([("lug", 0, 100), ("nuts", 800, 900)], ["lug", "nuts"]),
        ([("tight.", 0, 100), ("Rims", 199, 300)], ["tight. Rims"]),
        ([("tight.", 0, 100), ("Rims", 200, 300)], ["tight.", "Rims"]),
        ([('tight."', 0, 100), ("Rims", 200, 300)], ['tight."', "Rims"]),
        ([("tight?", 0, 100), ("Yes!", 200, 300), ("Ok", 400, 500)], ["tight?", "Yes!", "Ok"]),
        ([], []),
    ],
)
def test_ends_of_segments(words: list[tuple[str, int, int]], texts: list[str]) -> None:
    segments = segments_of([word(*w) for w in words])
    assert [segment.text for segment in segments] == texts
    assert [segment.id for segment in segments] == [f"s{n + 1}" for n in range(len(texts))]
    assert all(s.start == s.words[0].start and s.end == s.words[-1].end for s in segments)
