"""Invented words: retried, dropped or cut."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.speech.engine import HeardWord, Piece
from walkgrade.speech.guards import better, cut_loops, join_pieces, nothing_heard, suspicious


def heard(text: str) -> tuple[HeardWord, ...]:
    return tuple(
        HeardWord(text=f" {word}", start=at, end=at + 0.5, prob=0.9)
        for at, word in enumerate(text.split())
    )


def piece(
    text: str = "lug nuts", logprob: float = -0.2, no_speech: float = 0.1, compression: float = 1.1
) -> Piece:
    return Piece(words=heard(text), logprob=logprob, no_speech=no_speech, compression=compression)


@pytest.mark.parametrize(
    ("given_piece", "again", "nothing"),
    [
        (piece(), False, False),
        (piece(compression=2.5), True, False),
        (piece(compression=2.4), False, False),
        (piece(logprob=-1.01), True, False),
        (piece(logprob=-1.0), False, False),
        (piece(logprob=-1.01, no_speech=0.61), False, True),
        (piece(logprob=-0.9, no_speech=0.99), False, False),
        (piece(text="", logprob=-2.0), False, False),
    ],
)
def test_doubtful_chunks(given_piece: Piece, again: bool, nothing: bool) -> None:
    assert suspicious(given_piece) is again
    assert nothing_heard(given_piece) is nothing


def test_the_better_try_has_no_loop_and_then_the_higher_probability() -> None:
    loop = piece(compression=9.0, logprob=-0.1)
    plain = piece(logprob=-0.9)
    surer = piece(logprob=-0.3)
    assert better(loop, plain) is plain
    assert better(plain, loop) is plain
    assert better(plain, surer) is surer
    assert better(surer, plain) is surer


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("lug nuts are tight", "lug nuts are tight"),
        ("no no no no loose", "no no no no loose"),
        ("no no no no no loose", "no loose"),
        ("so " + "it is tight " * 5 + "there", "so it is tight there"),
        ("it is tight " * 4, "it is tight " * 4),
        ("one two three four five six seven eight " * 6, "one two three four five six seven eight"),
        ("Okay. okay, OKAY okay okay.", "Okay."),
        ("", ""),
    ],
)
def test_loops(said: str, kept: str) -> None:
    assert [word.text.strip() for word in cut_loops(heard(said))] == kept.split()


@given(st.lists(st.sampled_from("abc"), max_size=60))
def test_cutting_loops_only_removes(said: list[str]) -> None:
    kept = cut_loops(heard(" ".join(said)))
    words = list(heard(" ".join(said)))
    at = 0
    for word in kept:
        at = words.index(word, at) + 1


@pytest.mark.parametrize(
    ("pieces", "words"),
    [
        ([" 4", "/32"], ["4/32"]),
        ([" four", "-thirty", "-seconds", " of"], ["four-thirty-seconds", "of"]),
        (["Check", " it"], ["Check", "it"]),
        ([" ", " it"], ["it"]),
        ([], []),
    ],
)
def test_parts_of_a_word_become_one(pieces: list[str], words: list[str]) -> None:
    given_words = [
        HeardWord(text=text, start=at, end=at + 1, prob=0.9 - at / 10)
        for at, text in enumerate(pieces)
    ]
    assert [word.text for word in join_pieces(given_words)] == words


def test_a_joined_word_spans_its_parts_and_is_as_sure_as_the_weakest() -> None:
    parts = [
        HeardWord(text=" 4", start=1.0, end=1.2, prob=0.9),
        HeardWord(text="/32", start=1.2, end=1.9, prob=0.4),
    ]
    assert join_pieces(parts) == (HeardWord(text="4/32", start=1.0, end=1.9, prob=0.4),)
