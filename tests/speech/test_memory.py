"""Engines that remember: when an answer may stand for a new one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tone_engine import ToneEngine, burst, talk

from walkgrade.speech.memory import Memory, RememberingEngine
from walkgrade.speech.models import ModelFolder

ONE, TWO = (talk([(200, word)], 1_000) for word in (1, 2))


def model(name: str) -> ModelFolder:
    return ModelFolder(name=name, folder=Path("nowhere"), sha256=name * 8)


@pytest.mark.parametrize(
    ("first", "second", "calls"),
    [
        (([ONE], ("a",), False), ([ONE], ("a",), False), 1),
        (([ONE, TWO], (), True), ([ONE.copy(), TWO.copy()], (), True), 1),
        (([ONE], ("a",), False), ([ONE], ("b",), False), 2),
        (([ONE], ("a",), False), ([ONE], (), False), 2),
        (([ONE], (), False), ([ONE], (), True), 2),
        (([ONE], (), False), ([TWO], (), False), 2),
        # words may depend on the chunks beside, and on their order
        (([ONE, TWO], (), False), ([ONE], (), False), 2),
        (([ONE, TWO], (), False), ([TWO, ONE], (), False), 2),
        # the same samples, cut elsewhere
        (([ONE, TWO], (), False), ([np.concatenate((ONE, TWO))], (), False), 2),
        (([ONE], (), False), ([ONE[:-1]], (), False), 2),
    ],
)
def test_words_are_remembered_for_the_same_question_only(first, second, calls) -> None:
    engine = ToneEngine()
    remembering = RememberingEngine(engine)
    for chunks, terms, careful in (first, second):
        found = remembering.decode(chunks, terms, careful=careful)
        assert found == ToneEngine().decode(chunks, terms, careful=careful)
    assert len(engine.calls) == calls
    sizes = [len(chunks) for chunks, *_ in (first, second)]
    assert remembering.decoded == sum(sizes[:calls])
    assert remembering.remembered == sum(sizes[calls:])


def test_voices_and_language_are_remembered() -> None:
    engine = ToneEngine(codes=(("es", 0.9), ("en", 0.7)))
    remembering = RememberingEngine(engine)
    assert [remembering.language(chunk) for chunk in (ONE, TWO, ONE)] == [
        ("es", 0.9),
        ("en", 0.7),
        ("es", 0.9),
    ]
    assert engine.guesses == 2
    regions = remembering.speech(ONE)
    engine.pad_ms = 0  # would now answer otherwise
    assert remembering.speech(ONE.copy()) == regions
    assert remembering.speech(TWO) != regions


def test_an_engine_is_loaded_once_for_its_weights_and_device() -> None:
    loaded: list[tuple[str, str]] = []

    def load(model: ModelFolder, *, device: str = "cpu", options: object = None) -> ToneEngine:
        loaded.append((model.name, device))
        return ToneEngine(label=model.name, multilingual=model.name == "b")

    memory = Memory(load)
    for name, device in (("a", "cpu"), ("b", "cpu"), ("a", "cpu"), ("a", "cuda")):
        engine = memory.engine(model(name), device=device)
        assert (engine.label, engine.multilingual) == (name, name == "b")
    assert loaded == [("a", "cpu"), ("b", "cpu"), ("a", "cuda")]


def test_what_is_called_before_new_work_can_end_it() -> None:
    engine = ToneEngine()
    memory = Memory(lambda model, **options: engine)
    remembering = memory.engine(model("a"))
    known = remembering.decode([ONE])

    def stop() -> None:
        raise InterruptedError

    memory.before = stop
    assert remembering.decode([ONE]) == known
    for work in (
        lambda: remembering.decode([TWO]),
        lambda: remembering.speech(ONE),
        lambda: remembering.language(ONE),
        lambda: memory.engine(model("b")),
    ):
        with pytest.raises(InterruptedError):
            work()
    assert len(engine.calls) == 1
    assert memory.counts() == (1, 1)
    memory.before = lambda: None
    assert remembering.decode([TWO])[0].words[0].text == " w2"


def test_counts_begin_anew() -> None:
    memory = Memory(lambda model, **options: ToneEngine())
    engine = memory.engine(model("a"))
    engine.decode([burst(1), burst(2)])
    memory.forget_counts()
    engine.decode([burst(1), burst(2)])
    engine.decode([burst(3)])
    assert memory.counts() == (1, 2)
