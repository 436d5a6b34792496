"""Slots, sequences, alternatives, absent words, exact forms, breaks, choice among matches."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from language_lines import tokens_of

from walkgrade.language.patterns import PatternBook, WordIndex, compile_pattern, find_pattern


def indexed(text: str) -> WordIndex:
    tokens = tokens_of(text)
    forms = [{token.stem: 1.0, f"={token.norm}": 1.0} for token in tokens]
    return WordIndex(forms, [bool(token.breaks) for token in tokens])


def met(pattern: str, text: str) -> list[tuple[int, int]]:
    found = find_pattern(compile_pattern(pattern, "x"), indexed(text))
    return sorted((m.first, m.last) for m in found)


@pytest.mark.parametrize(
    ("pattern", "text", "spans"),
    [
        # one slot, alternatives
        ("tight", "it is tight", [(2, 3)]),
        ("tight", "it is snug", []),
        ("tight|snug", "it is snug", [(2, 3)]),
        ("tight|snug", "snug and tight", [(0, 1), (2, 3)]),
        # met by stem
        ("leak", "it was leaking", [(2, 3)]),
        ("mounted", "one mount here", [(1, 2)]),
        # slots in any order, with room for fillers
        ("cap tight", "cap tight", [(0, 2)]),
        ("cap tight", "tight cap", [(0, 2)]),
        ("cap tight", "the cap is on there tight", [(1, 6)]),
        ("cap tight", "tight is how I would want the old cap", []),  # too far
        ("cap tight", "the cap is on", []),
        ("cap|lid tight|snug", "the lid is snug", [(1, 4)]),
        # words that must follow each other
        ("low+air", "the low air buzzer", [(1, 3)]),
        ("low+air", "air is low", []),
        ("low+air", "low on air", []),
        ("low+air|buzzer", "a buzzer", [(1, 2)]),
        ("low-air", "the low air buzzer", [(1, 3)]),
        # one word cannot fill two slots
        ("tight tight", "it is tight", []),
        ("tight tight", "tight and tight", [(0, 3), (0, 3)]),
        # absent words spoil what is near
        ("brake !trailer", "the brake holds", [(1, 2)]),
        ("brake !trailer", "the trailer brake holds", []),
        ("brake !trailer", "the brake of the trailer", []),
        ("brake !trailer", "trailer is not what this here brake is", [(6, 7)]),  # far enough
        ("brake !parking+brake", "the parking brake", []),
        ("brake !parking+brake", "parking the bus with the brake", [(5, 6)]),
        ("brake !old|new", "the new brake", []),
        # exact forms
        ("=seats", "the seats are tight", [(1, 2)]),
        ("=seats", "it is seated", []),
        ("seats", "it is seated", [(2, 3)]),
        ("off|=in", "plugged in", [(1, 2)]),
        ("is+=out", "it is out", [(1, 3)]),
        # no pattern crosses punctuation
        ("cap tight", "the cap, tight", []),
        ("cap tight", "oil, the cap tight", [(2, 4)]),
        ("tight", "oil, tight", [(1, 2)]),
    ],
)  # fmt: skip
def test_where_a_pattern_is_met(pattern: str, text: str, spans: list[tuple[int, int]]) -> None:
    assert met(pattern, text) == spans


def test_the_weakest_word_gives_the_score() -> None:
    words = WordIndex([{"lug": 0.8}, {"nut": 0.9}])
    for text in ("lug+nut", "lug nut", "nut lug"):
        (match,) = find_pattern(compile_pattern(text, "x"), words)
        assert match.score == 0.8


def test_the_head_is_where_the_first_slot_stands() -> None:
    (match,) = find_pattern(compile_pattern("cap tight", "x"), indexed("tight is the cap"))
    assert (match.first, match.last, match.head) == (0, 4, 3)


def test_a_book_keeps_the_longest_of_one_label() -> None:
    rows = [("seal", "a"), ("seal tight", "a"), ("seal", "b")]
    book = PatternBook(compile_pattern(text, label) for text, label in rows)
    found = [(m.label, m.first, m.last) for m in book.find(indexed("the seal is tight"))]
    assert found == [("b", 1, 2), ("a", 1, 4)]


def test_of_equal_length_the_better_stays() -> None:
    book = PatternBook([compile_pattern("brake", "a"), compile_pattern("break", "a")])
    (match,) = book.find(WordIndex([{"brake": 0.85, "break": 1.0}]))
    assert match.score == 1.0


WORDS = ["cap", "tight", "lid", "loose", "seal", "the", "is"]
PATTERNS = ["cap tight", "cap|lid loose", "seal", "the+cap", "lid !loose", "=is tight"]


@given(
    said=st.lists(st.sampled_from(WORDS), min_size=1, max_size=12),
    order=st.permutations(PATTERNS),
)
def test_the_order_of_patterns_does_not_matter(said: list[str], order: list[str]) -> None:
    words = indexed(" ".join(said))
    book = PatternBook(compile_pattern(p, p) for p in PATTERNS)
    other = PatternBook(compile_pattern(p, p) for p in order)
    found = book.find(words)
    assert found == other.find(words)
    assert found == sorted(found, key=lambda m: (m.first, m.last, m.label))
    for one in found:
        assert 0 <= one.first <= one.head < one.last <= len(said)
    for label in PATTERNS:
        spans = [(m.first, m.last) for m in found if m.label == label]
        assert all(a[1] <= b[0] for a, b in pairwise(spans)), "overlap"
