# ruff: noqa: E501 - one row a line, so that the table can be read down
"""How a transcript is cut: token boundaries, letters spelled, ranges, utterances, times."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from language_lines import LENGTH, STEP, norms_of, talk, tokens_of

from walkgrade.language.tokens import cut, segment_speakers
from walkgrade.speech.records import Transcript


def texts(transcript: Transcript) -> list[str]:
    return [" ".join(token.norm for token in piece.tokens) for piece in cut(transcript)]


@pytest.mark.parametrize(
    ("text", "norms"),
    [
        ("The belt, then.", ["the", "belt", "then"]),
        ("U-bolts", ["u", "bolts"]),
        ("wheels/rims", ["wheels", "rims"]),
        ("driver's", ["driver's"]),
        ("driver’s", ["driver's"]),
        ("“Tight”", ["tight"]),
        ("tight—snug", ["tight", "snug"]),
        ("well - tight", ["well", "tight"]),
        # fractions and ranges stay whole
        ("4/32", ["4/32"]),
        ("4/32nds", ["4/32nds"]),
        ("3/4-inch", ["3/4", "inch"]),
        ("120-140", ["120", "to", "140"]),
        ("120–140", ["120", "to", "140"]),
        ("120-140psi", ["120", "to", "140", "psi"]),
        ("1/2-3/4 inch", ["1/2", "to", "3/4", "inch"]),
        ("1-1/2 inches", ["1", "1/2", "inches"]),
        (".5", [".5"]),
        ("1,200", ["1,200"]),
        # units run into the number
        ("120psi", ["120", "psi"]),
        ("13.5v", ["13.5", "volts"]),
        ("2in", ["2", "inch"]),
        ("5mph", ["5", "mph"]),
        ("5lbs", ["5", "lbs"]),
        # letters spelled
        ("P.S.I.", ["psi"]),
        ("p.s.i.", ["psi"]),
        ("A.B.S. lamp", ["abs", "lamp"]),
        ("A B S lamp", ["abs", "lamp"]),
        ("120 P S I now", ["120", "psi", "now"]),
        ("the D E F tank", ["the", "def", "tank"]),
        ("A belt", ["a", "belt"]),
        ("I see a belt", ["i", "see", "a", "belt"]),
        ("a b c", ["a", "b", "c"]),  # small letters are no spelling
        ("B, C", ["b", "c"]),  # nor are letters with a comma between
        ("tight - ?!", ["tight"]),
    ],
)
def test_words_are_split(text: str, norms: list[str]) -> None:
    assert norms_of(text) == norms


@pytest.mark.parametrize(
    ("text", "breaks"),
    [
        ("oil, tight", ["", ","]),
        ("oil; tight", ["", ";"]),
        ("oil: tight", ["", ":"]),
        ("oil -- tight", ["", ""]),
        ("oil... tight", ["", ","]),
        ("oil tight", ["", ""]),
        ("U-bolts, tight", ["", "", ","]),
        ('"oil," tight', ["", ","]),
    ],
)
def test_breaks_are_the_marks_before(text: str, breaks: list[str]) -> None:
    assert [token.breaks for token in tokens_of(text)] == breaks


def test_spelled_letters_keep_their_span() -> None:
    (token,) = tokens_of("A B S")
    assert (token.start, token.end, token.text, token.norm) == (0, 2 * STEP + LENGTH, "ABS", "abs")


def test_pieces_of_a_word_share_its_time() -> None:
    first, second = tokens_of("U-bolts")
    assert (first.start, first.end) == (0, LENGTH // 2)
    assert (second.start, second.end) == (LENGTH // 2, LENGTH)


@pytest.mark.parametrize(
    ("transcript", "utterances"),
    [
        (talk("One belt. Two belts."), ["one belt", "two belts"]),
        (talk("Is it? It is! Yes."), ["is it", "it is", "yes"]),
        (talk("Well... it is"), ["well it is"]),
        (talk("120 P.S.I. is fine."), ["120 psi is fine"]),
        (talk('"Fine." Next.'), ["fine", "next"]),
        # lines of typed text end utterances, those of a recogniser need not
        (talk("the belt", "is tight"), ["the belt", "is tight"]),
        (talk("the belt", "is tight", origin="recognised"), ["the belt is tight"]),
        (talk("the belt.", "is tight", origin="recognised"), ["the belt", "is tight"]),
        # another voice, or a long pause, ends one
        (talk(("a", "the belt"), ("b", "is tight"), origin="recognised"), ["the belt", "is tight"]),
        (talk("the belt", "is tight", origin="recognised", pauses=[0, 2449]), ["the belt is tight"]),
        (talk("the belt", "is tight", origin="recognised", pauses=[0, 2450]), ["the belt", "is tight"]),
        (talk("... --"), []),
    ],
)  # fmt: skip
def test_where_utterances_end(transcript: Transcript, utterances: list[str]) -> None:
    assert texts(transcript) == utterances


def test_speech_without_full_stops_is_cut_at_a_comma() -> None:
    words = ["belt,"] * 61
    pieces = cut(talk(" ".join(words), origin="recognised"))
    assert [len(piece.tokens) for piece in pieces] == [60, 1]
    whole = cut(talk(" ".join(["belt"] * 70), origin="recognised"))
    assert [len(piece.tokens) for piece in whole] == [70]


def test_questions_and_speakers_are_kept() -> None:
    pieces = cut(talk(("Examiner", "Is it tight?"), ("Trainee", "It is.")))
    assert [(p.speaker, p.question, p.segment) for p in pieces] == [
        ("Examiner", True, "s1"),
        ("Trainee", False, "s2"),
    ]


def test_speakers_are_counted_by_words() -> None:
    transcript = talk(("A", "one two three"), ("B", "four"))
    assert segment_speakers(transcript.segments) == ("A", "A", "A", "B")


PIECES = [
    "belt",
    "U-bolts,",
    "120-140",
    "4/32",
    "P.S.I.",
    "A",
    "B",
    "tight.",
    "-",
    "?",
    "it's",
    "3/4-inch;",
]


@given(lines=st.lists(st.lists(st.sampled_from(PIECES), min_size=1, max_size=8), max_size=5),
       origin=st.sampled_from(["typed", "recognised"]))  # fmt: skip
def test_times_never_run_backwards_and_nothing_is_lost(lines: list[list[str]], origin: str) -> None:
    transcript = talk(*(" ".join(line) for line in lines), origin=origin)
    pieces = cut(transcript)
    tokens = [token for piece in pieces for token in piece.tokens]
    assert all(piece.tokens for piece in pieces)
    assert all(a.end <= b.start for a, b in pairwise(tokens))
    assert all(token.start < token.end and token.norm for token in tokens)
    said = sum("belt" in w or "bolts" in w or "tight" in w for line in lines for w in line)
    assert sum(token.norm in ("belt", "bolts", "tight") for token in tokens) == said
