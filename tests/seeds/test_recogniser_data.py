"""What the recogniser learns from: chunks of whole lines, their tokens, weights packed."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from models.recogniser.chunks import LONGEST, RATE, Spoken, batch, draw
from models.recogniser.packed import pack, read_tensors
from models.recogniser_data import KEPT_APART, SPEAKERS, sayings, trained_on, written
from seeds.split import load_split

MARKS = {"before": 90, "start": [91, 92], "end": 99}
LINE_MS, GAP_MS = 4_000, 3_000
COUNT = 20


@pytest.fixture(scope="module")
def run() -> Spoken:
    """Twenty lines of 4 s; every sample of a line is its number, of a pause 0."""
    times = [(n * (LINE_MS + GAP_MS), n * (LINE_MS + GAP_MS) + LINE_MS) for n in range(COUNT)]
    sound = np.zeros(times[-1][1] * RATE // 1000 + RATE, dtype=np.int16)
    for number, (start, end) in enumerate(times):
        sound[start * RATE // 1000 : end * RATE // 1000] = number + 1
    return Spoken(
        sounds=[sound],
        times=times,
        tokens=[[n + 1, n + 1] for n in range(COUNT)],
        told=[[70], [71]],
    )


def test_a_chunk_holds_the_lines_whose_words_it_has(run: Spoken) -> None:
    noise = np.full(40 * RATE, -1, dtype=np.int16)
    rng, seen = random.Random(3), set()
    for _ in range(300):
        chunk = draw([run], noise, rng)
        assert chunk.sound.size <= LONGEST
        if not chunk.words:
            assert (chunk.sound == -1).all()
            continue
        lines = sorted(set(chunk.words))
        assert chunk.words == [line for line in lines for _ in range(2)]
        assert sorted(set(chunk.sound.tolist()) - {0}) == lines
        for line in lines:
            assert (chunk.sound == line).sum() == LINE_MS * RATE // 1000
        assert (chunk.sound == 0).sum() <= len(lines) * 2 * RATE // 5, "pauses are cut short"
        seen.add((len(lines), bool(chunk.told)))
    assert {count for count, _ in seen} >= {1, 3, 6}
    assert {told for _, told in seen} == {True, False}


def test_general_talk_is_told_what_scripts_are_told(run: Spoken) -> None:
    general = Spoken(sounds=run.sounds, times=run.times, tokens=run.tokens, told=[])
    told = [draw([general], run.sounds[0], random.Random(n), [run]).told for n in range(60)]
    assert [70, 71] in told
    assert [] in told


def test_a_batch_asks_only_for_the_words(run: Spoken) -> None:
    noise = np.zeros(40 * RATE, dtype=np.int16)
    chunks = [draw([run], noise, random.Random(n)) for n in range(12)]
    sounds, sizes, given, wanted = batch(chunks, MARKS)
    assert {bool(chunk.told) for chunk in chunks} == {True, False}
    for row, chunk in enumerate(chunks):
        head = [90, *chunk.told, 91, 92] if chunk.told else [91, 92]
        full = [*head, *chunk.words, 99]
        assert given[row, : len(full)].tolist() == full
        asked = [(at, int(token)) for at, token in enumerate(wanted[row]) if token >= 0]
        assert asked == list(enumerate([*chunk.words, 99], len(head) - 1))
        assert (sounds[row, : sizes[row]] == chunk.sound).all()
        assert not sounds[row, sizes[row] :].any()


def test_packed_weights_are_near_and_small_ones_whole(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    tensors = {
        "a/weight": rng.normal(size=(8, 64)).astype(np.float16),
        "a/bias": rng.normal(size=8).astype(np.float16),
        "x/position_encodings/encodings": rng.normal(size=(4, 8)).astype(np.float16),
    }
    pack(tensors, tmp_path / "p.npz")
    found = read_tensors(tmp_path / "p.npz")
    assert set(found) == set(tensors)
    assert found["a/bias"].tolist() == tensors["a/bias"].tolist()
    assert (
        found["x/position_encodings/encodings"] == tensors["x/position_encodings/encodings"]
    ).all()
    most = np.abs(tensors["a/weight"].astype(float)).max(axis=1, keepdims=True) / 127
    assert (np.abs(found["a/weight"] - tensors["a/weight"]) <= most * 0.51).all()
    assert not np.array_equal(found["a/weight"], tensors["a/weight"])


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Tread is at least 4/32 of an inch.", "Tread is at least four thirty-seconds of an inch."),
        ("Cut out at 120 psi.", "Cut out at one hundred and twenty psi."),
        ("No digits, as it stands.", "No digits, as it stands."),
    ],
)
def test_numbers_are_written_as_they_are_said(text: str, says: str) -> None:
    assert written(text) == says


def test_only_tune_scripts_and_tune_voices_are_spoken() -> None:
    split = load_split()
    assert {split.part_of_voice(name) for name in SPEAKERS} == {"tune"}
    names = [script.id for script in trained_on()]
    assert len(names) > 400
    assert not {f"tune-{n}" for n in KEPT_APART} & set(names)
    assert all(name.startswith("tune-") for name in names)


def test_sayings_are_plain_sentences(tmp_path: Path) -> None:
    good = "A penny saved is a penny earned, and nobody has ever said how many there are."
    (tmp_path / "wisdom").write_text(
        f"{good}\n\t\t-- Somebody\n%\ntoo short\n%\n{'x1 ' * 30}\n%\n"
        f"LOUD WORDS {'are left out ' * 6}\n%\n"
    )
    assert sayings(tmp_path) == [good]
