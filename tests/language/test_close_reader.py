"""The shipped close reader: verified before use, asked only what is worth it, and kept in step.

How well it reads is measured by benchmarks/ and models/fit_judge.py, not here.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from language_lines import talk

from walkgrade.checklists.records import Checklist
from walkgrade.errors import ModelError
from walkgrade.language import close_reader
from walkgrade.language.close_reader import CloseReader, ReadTwice, load_close_reader
from walkgrade.language.questions import QuestionKind, questions_of
from walkgrade.language.read import read
from walkgrade.language.reader_files import reader_folder
from walkgrade.language.records import Opinion, Voice
from walkgrade.language.run_reader import Answers, load_run_reader

FILES = ("reader.json", "encoder.onnx")
SIDES = (
    "Left side. The marker lights work and the lenses are clean and not cracked.",
    "Right side. The marker lights are the same as on the left.",
)


@pytest.fixture
def reader() -> Iterator[CloseReader]:
    load_close_reader.cache_clear()
    yield load_close_reader()
    load_close_reader.cache_clear()


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the models that may be spoiled."""
    for name in ("close_reader", "run_reader"):
        shutil.copytree(reader_folder(name), tmp_path / name)
    monkeypatch.setattr(close_reader, "reader_folder", lambda name: tmp_path / name)
    load_close_reader.cache_clear()
    yield tmp_path / "close_reader"
    load_close_reader.cache_clear()


@pytest.mark.parametrize("name", FILES)
def test_a_missing_file_is_refused(copy: Path, name: str) -> None:
    (copy / name).unlink()
    with pytest.raises(ModelError, match="close reader is not complete") as caught:
        load_close_reader()
    assert caught.value.code == "M20"


def test_a_damaged_file_is_refused(copy: Path) -> None:
    place = copy / "encoder.onnx"
    place.chmod(0o644)
    place.write_bytes(place.read_bytes()[:-1] + b"x")
    with pytest.raises(ModelError, match=r"encoder\.onnx") as caught:
        load_close_reader()
    assert caught.value.code == "M20"


def _told(opinions: tuple[Opinion, ...], target: str) -> list[float]:
    return [o.told for o in opinions if o.kind == "told" and target in o.targets]


def test_opinions_are_the_mean_of_both_readers_log_odds(
    classic: Checklist, reader: CloseReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = ("Front axle. The brake chamber is not leaking.",)
    target = "front-axle.brake-chamber.leak"
    alone = max(_told(read(talk(*lines), classic, load_run_reader()).opinions, target))
    monkeypatch.setattr(reader, "_read", lambda text, asked: [(0.5, 0.5)] * len(asked))
    joined = read(talk(*lines), classic, ReadTwice(load_run_reader(), reader)).opinions
    odds = np.log(alone / (1 - alone)) / 2
    assert max(_told(joined, target)) == pytest.approx(1 / (1 + np.exp(-odds)), abs=0.01)


def test_an_answer_hardly_depends_on_what_else_is_asked(
    classic: Checklist, reader: CloseReader
) -> None:
    """Questions do not see one another; what remains is the rounding of int8."""
    reading = read(talk("Front axle. The brake chamber is not leaking."), classic)
    coded = [reader._utterance(one) for one in reading.utterances]
    text = reader._text(coded, len(coded) - 1)
    asked = [q.brief for q in questions_of(classic) if q.kind == QuestionKind.TOLD][:20]
    together = reader._read(text, asked)
    alone = [reader._read(text, [one])[0] for one in asked]
    np.testing.assert_allclose(together, alone, atol=0.06)


def test_what_the_run_reader_thinks_idle_is_not_asked_again(
    classic: Checklist, reader: CloseReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*args: object) -> list[tuple[float, float]]:
        raise AssertionError("asked")

    monkeypatch.setattr(reader, "_read", never)
    twice = ReadTwice(load_run_reader(), reader)
    read(talk("Nice weather today, my cousin likes it too."), classic, twice)
    with pytest.raises(AssertionError, match="asked"):
        read(talk("Front axle. The brake chamber is not leaking."), classic, twice)


def test_other_voices_are_not_asked(classic: Checklist, reader: CloseReader) -> None:
    lines = [
        ("Examiner", "The brake chamber is not leaking, is it?"),
        ("Trainee", "Good morning to you, and to the class."),
    ]
    reading = read(talk(*lines), classic)
    assert reading.utterances[0].voice == Voice.OTHER
    questions = questions_of(classic)
    sure = np.full((len(reading.utterances), len(questions)), 0.9, dtype=np.float32)
    sure[1:] = 0.0
    found = Answers(sure, np.zeros_like(sure))
    assert reader.again(reading.utterances, questions, found).same == ()
    assert not reader._known


def test_of_which_parts_it_is_as_told_before(classic: Checklist, reader: CloseReader) -> None:
    opinions = read(talk(*SIDES), classic, ReadTwice(load_run_reader(), reader)).opinions
    same = {t: o.told for o in opinions if o.kind == "same" for t in o.targets}
    assert same["right-side.side-marker-lamps"] > 0.8
    assert all(chance < 0.2 for item, chance in same.items() if "brake" in item)


def test_a_plain_line_is_not_asked_what_is_as_before(
    classic: Checklist, reader: CloseReader
) -> None:
    opinions = read(talk(SIDES[0]), classic, ReadTwice(load_run_reader(), reader)).opinions
    assert not [o for o in opinions if o.kind == "same"]


def test_a_number_is_asked_which_limits_it_speaks_to(
    classic: Checklist, reader: CloseReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def answer(text: object, questions: tuple[str, ...]) -> list[tuple[float, float]]:
        asked.extend(questions)
        return [(0.001, 0.0)] * len(questions)

    monkeypatch.setattr(reader, "_read", answer)
    lines = ("Front axle. Tire tread, four thirty-seconds is the minimum.",)
    alone = read(talk(*lines), classic, load_run_reader()).opinions
    joined = read(talk(*lines), classic, ReadTwice(load_run_reader(), reader)).opinions
    about = [question for question in asked if " is said of " in question]
    assert about
    assert all(question.startswith("four thirty") for question in about)
    assert any("tread" in question for question in about)
    target = "front-axle.tyre-tread.depth"
    before, after = (
        [o.told for o in found if o.kind == "number" and target in o.targets]
        for found in (alone, joined)
    )
    assert max(before) > 0.9 > max(after, default=0.0)


def test_a_talk_that_has_grown_is_read_from_where_it_grew(
    classic: Checklist, reader: CloseReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = [
        f"Number {n}, the brake hose is not leaking and the drum is not cracked." for n in range(60)
    ]
    calls: list[int] = []
    run = reader._read
    monkeypatch.setattr(reader, "_read", lambda text, asked: calls.append(1) or run(text, asked))
    twice = ReadTwice(load_run_reader(), reader)
    read(talk(*lines[:50]), classic, twice)
    first = len(calls)
    grown = read(talk(*lines), classic, twice).opinions
    assert first >= 50
    assert len(calls) - first <= first // 3
    reader._known.clear()
    assert read(talk(*lines), classic, twice).opinions == grown


def test_what_is_kept_of_talks_has_an_end(
    classic: Checklist, reader: CloseReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(close_reader, "_KEPT", 2)
    lines = [f"Number {n}, the brake hose is not leaking." for n in range(9)]
    read(talk(*lines), classic, ReadTwice(load_run_reader(), reader))
    assert len(reader._known) == 2


def test_no_words_no_opinions(classic: Checklist, reader: CloseReader) -> None:
    found = ReadTwice(load_run_reader(), reader).answers((), questions_of(classic))
    assert found.told.shape == (0, len(questions_of(classic)))
    assert found.same == ()
