"""The shipped run reader: verified before use, local, and its kept questions up to date.

How well it reads is measured by benchmarks/, not here.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from language_lines import talk

from walkgrade.checklists.library import find_checklist, list_checklists
from walkgrade.checklists.records import Checklist
from walkgrade.errors import ModelError
from walkgrade.language import run_reader
from walkgrade.language.questions import QuestionKind, questions_of
from walkgrade.language.read import read
from walkgrade.language.run_reader import load_run_reader

FILES = ("reader.json", "encoder.onnx", "head.npz", "vocab.txt", "questions.npz")


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the reader's folder that may be spoiled."""
    folder = tmp_path / "run_reader"
    shutil.copytree(run_reader._folder(), folder)
    monkeypatch.setattr(run_reader, "_folder", lambda: folder)
    load_run_reader.cache_clear()
    yield folder
    load_run_reader.cache_clear()


@pytest.mark.parametrize("name", FILES)
def test_a_missing_file_is_refused(copy: Path, name: str) -> None:
    (copy / name).unlink()
    with pytest.raises(ModelError) as caught:
        load_run_reader()
    assert caught.value.code == "M20"


@pytest.mark.parametrize("name", FILES[1:])
def test_a_damaged_file_is_refused(copy: Path, name: str) -> None:
    place = copy / name
    place.chmod(0o644)
    place.write_bytes(place.read_bytes()[:-1] + b"x")
    with pytest.raises(ModelError, match=name) as caught:
        load_run_reader()
    assert caught.value.code == "M20"


@pytest.mark.parametrize("name", list_checklists())
def test_kept_questions_are_those_of_the_shipped_checklists(name: str) -> None:
    """Run models/keep_questions.py when this fails."""
    with np.load(run_reader._folder() / "questions.npz") as body:
        kept = set(map(str, body["texts"]))
    asked = {text for one in questions_of(find_checklist(name)) for text in one.texts}
    assert asked <= kept


def test_what_is_far_away_changes_nothing(classic: Checklist) -> None:
    """A sentence more at the end leaves what was read long before as it was."""
    lines = [
        f"Number {n}, the air hose here is not leaking and the clamp is tight." for n in range(60)
    ]
    reader = load_run_reader()
    before = read(talk(*lines), classic, reader)
    after = read(talk(*lines, "And that is all, thank you."), classic, reader)
    early = [one for one in before.opinions if one.row < 20]
    assert early
    assert early == [one for one in after.opinions if one.row < 20]


def test_a_talk_that_has_grown_is_read_from_where_it_grew(
    classic: Checklist, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was read before its end was there is used again, and the opinions are no others."""
    lines = [
        f"Number {n}, the brake hose is not leaking and the drum is not cracked." for n in range(90)
    ]
    load_run_reader.cache_clear()
    plain = read(talk(*lines), classic, load_run_reader()).opinions
    load_run_reader.cache_clear()
    reader = load_run_reader()
    calls: list[str] = []
    run = reader._run
    monkeypatch.setattr(
        reader, "_run", lambda ids, wanted: calls.append(wanted) or run(ids, wanted)
    )
    read(talk(*lines[:80]), classic, reader)
    first = calls.count("pieces")
    assert read(talk(*lines), classic, reader).opinions == plain
    assert first > 4
    assert calls.count("pieces") - first <= 3
    load_run_reader.cache_clear()


def test_what_is_kept_of_talks_has_an_end(
    classic: Checklist, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run_reader, "_KEPT", 2)
    load_run_reader.cache_clear()
    reader = load_run_reader()
    read(talk(*(f"Number {n}, the drum is not cracked." for n in range(90))), classic, reader)
    assert len(reader._known) == 2
    load_run_reader.cache_clear()


def test_no_words_no_opinions(classic: Checklist) -> None:
    found = load_run_reader().answers((), questions_of(classic))
    assert found.told.shape == (0, len(questions_of(classic)))
    assert found.numbers == ()


def test_the_same_part_at_two_places_is_asked_once(classic: Checklist) -> None:
    questions = questions_of(classic)
    told = {t: q for q in questions if q.kind == QuestionKind.TOLD for t in q.targets}
    assert told["front-axle.brake-chamber.leak"] is told["rear-axle.brake-chamber.leak"]
    assert told["front-axle.tyre-tread.depth"] is not told["rear-axle.tyre-tread.depth"]
    assert set(told) == {r.id for i in classic.items for r in i.requirements}
    assert len({q.texts for q in questions}) == len(questions)
