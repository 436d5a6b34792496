"""The shipped clause reader: verified before use, and sensible on plain clauses.

The clauses are this file's own; how well the reader does is measured by benchmarks/, not here.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest

from walkgrade.checklists.records import Checklist
from walkgrade.errors import ModelError
from walkgrade.language import clauses
from walkgrade.language.clauses import ClauseReader, load_clause_reader
from walkgrade.language.lexicon import Lexicon

FILES = ("labels.json", "clauses.onnx", "vocab.txt")


@pytest.fixture(scope="module")
def reader() -> ClauseReader:
    return load_clause_reader()


@pytest.fixture
def copied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the reader's folder that the loader looks into."""
    folder = tmp_path / "clauses"
    shutil.copytree(clauses._folder(), folder)
    monkeypatch.setattr(clauses, "_folder", lambda: folder)
    load_clause_reader.cache_clear()
    yield folder
    load_clause_reader.cache_clear()


def test_an_untouched_copy_is_taken(copied: Path) -> None:
    assert load_clause_reader().concepts
    assert {path.name for path in copied.iterdir()} >= set(FILES)


def flip_a_byte(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(data)


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-100])


def emptied(path: Path) -> None:
    path.write_bytes(b"")


def removed(path: Path) -> None:
    path.unlink()


@pytest.mark.parametrize("name", FILES[1:])
@pytest.mark.parametrize("harm", [flip_a_byte, cut_short, emptied, removed])
def test_a_damaged_file_is_refused(copied: Path, name: str, harm: Callable[[Path], None]) -> None:
    harm(copied / name)
    with pytest.raises(ModelError) as caught:
        load_clause_reader()
    assert caught.value.code == "M20"
    assert name in caught.value.message
    assert caught.value.way_out


@pytest.mark.parametrize("harm", [cut_short, emptied, removed])
def test_a_damaged_description_is_refused(copied: Path, harm: Callable[[Path], None]) -> None:
    harm(copied / "labels.json")
    with pytest.raises(ModelError) as caught:
        load_clause_reader()
    assert caught.value.code == "M20"


@pytest.mark.parametrize("key", ["sha256", "concepts", "length"])
def test_a_description_without_its_keys_is_refused(copied: Path, key: str) -> None:
    body = json.loads((copied / "labels.json").read_text("utf-8"))
    del body[key]
    (copied / "labels.json").write_text(json.dumps(body), encoding="utf-8")
    with pytest.raises(ModelError) as caught:
        load_clause_reader()
    assert caught.value.code == "M20"


def test_every_weight_file_has_its_sum(reader: ClauseReader) -> None:
    folder = clauses._folder()
    body = json.loads((folder / "labels.json").read_text("utf-8"))
    assert set(body["sha256"]) == set(FILES[1:])
    for name, digest in body["sha256"].items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    assert tuple(body["concepts"]) == reader.concepts


def test_what_it_was_trained_on_is_told() -> None:
    """The held-out scores stand beside the weights, and the training files are those of seeds/."""
    body = json.loads((clauses._folder() / "labels.json").read_text("utf-8"))
    root = Path(__file__).resolve().parents[2]
    shipped = {path.name for path in (root / "seeds" / "phrasings").glob("*.yaml")}
    assert set(body["trained_on"]["files"]) <= shipped
    assert body["trained_on"]["clauses"] > 10 * body["held_out"]["clauses"] / 2
    assert 0.5 < body["held_out"]["sound_precision"] < 1.0


def test_it_knows_only_concepts_and_requirements(
    reader: ClauseReader, lexicon: Lexicon, classic: Checklist
) -> None:
    wanted = {r.id for item in classic.items for r in item.requirements}
    steps = {name for name in reader.concepts if "." in name}
    assert len(set(reader.concepts)) == len(reader.concepts)
    assert set(reader.concepts) - steps <= lexicon.concepts
    assert steps <= wanted


def test_scores_are_probabilities_whatever_the_clauses(reader: ClauseReader) -> None:
    asked = ["the hose is not leaking", "", "um", "word " * 300, "ünïcode 日本 🚌", "4/32 120 psi"]
    sound, fault = reader.score(asked)
    for scores in (sound, fault):
        assert scores.shape == (len(asked), len(reader.concepts))
        assert np.isfinite(scores).all()
        assert ((scores >= 0.0) & (scores <= 1.0)).all()
    assert reader.score([])[0].shape == (0, len(reader.concepts))


ASKED = [f"the hose is not leaking {'at all ' * (n % 7)}number {n}" for n in range(130)]


def test_the_same_clauses_score_the_same(reader: ClauseReader) -> None:
    for one, other in zip(reader.score(ASKED), reader.score(list(ASKED)), strict=True):
        assert np.array_equal(one, other)


def test_a_clause_scores_the_same_alone_or_among_others(reader: ClauseReader) -> None:
    whole, _ = reader.score(ASKED)
    turned, _ = reader.score(ASKED[::-1])
    alone, _ = reader.score(ASKED[77:78])
    assert np.allclose(whole, turned[::-1], atol=0.01)
    assert np.allclose(whole[77], alone[0], atol=0.01)


@pytest.mark.parametrize(
    ("clause", "concept"),
    [
        ("the hose is not leaking", "no_leak"),
        ("i don't see anything dripping from it", "no_leak"),
        ("it is bolted on tight", "secure"),
        ("no cracks in it anywhere", "no_crack"),
        ("none of it is bent", "no_bend"),
        ("the fluid is between the marks", "level"),
        ("the lenses are clean", "clean"),
        ("they flash one side and then the other", "alternates"),
    ],
)
def test_what_a_plain_clause_asserts(reader: ClauseReader, clause: str, concept: str) -> None:
    sound, _ = reader.score([clause])
    scores = dict(zip(reader.concepts, sound[0], strict=True))
    assert scores[concept] > 0.5
    assert sum(score > 0.5 for score in scores.values()) <= 6


@pytest.mark.parametrize(
    "clause",
    [
        "good morning my name is marcus",
        "if it leaks you lose your steering",
        "let me think for a second",
        "i had a sandwich for breakfast",
        "that is because the kids could get hurt",
    ],
)
def test_an_idle_clause_asserts_nothing(reader: ClauseReader, clause: str) -> None:
    sound, _ = reader.score([clause])
    assert sound.max() < 0.5, reader.concepts[int(sound.argmax())]
