"""Hearing a recording window by window, with an engine whose words are tones."""

from __future__ import annotations

import dataclasses
import itertools
from pathlib import Path

import numpy as np
import pytest
import soundfile
from tone_engine import RATE, ToneEngine, talk

from walkgrade.errors import AudioError
from walkgrade.speech.cache import RecognitionCache
from walkgrade.speech.decode import Sound, check_sound
from walkgrade.speech.engine import HeardWord, Piece
from walkgrade.speech.models import ModelFolder
from walkgrade.speech.recognise import WindowedRecogniser
from walkgrade.speech.records import Transcript

MODEL = ModelFolder(name="tones", folder=Path("nowhere"), sha256="5" * 64)
LENGTH_MS = 200_000
SAID = [(at, number % 40) for number, at in enumerate(range(1_000, 195_000, 1_730))]


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Sound:
    """200 s of tones, each at a known time."""
    path = tmp_path_factory.mktemp("run") / "run.wav"
    soundfile.write(path, talk(SAID, LENGTH_MS), RATE)
    return check_sound(path)


def recogniser(engine: ToneEngine, folder: Path, window_s: int = 50) -> WindowedRecogniser:
    return WindowedRecogniser(
        engine=engine,
        model=MODEL,
        cache=RecognitionCache(folder),
        window=window_s * RATE,
    )


def heard(transcript: Transcript) -> list[tuple[int, str]]:
    return [(word.start, word.text) for segment in transcript.segments for word in segment.words]


@pytest.mark.parametrize("window_s", [20, 50, 61, 300])
def test_every_word_comes_back_at_its_own_time(run: Sound, tmp_path: Path, window_s: int) -> None:
    transcript, notices = recogniser(ToneEngine(), tmp_path, window_s).recognise(run)
    assert [text for _, text in heard(transcript)] == [f"w{number}" for _, number in SAID]
    for (found, _), (said, _) in zip(heard(transcript), SAID, strict=True):
        assert found == pytest.approx(said, abs=10)
    assert notices == run.notices
    assert transcript.duration == LENGTH_MS
    assert transcript.audio_sha256 == run.sha256
    assert (transcript.model, transcript.model_sha256) == ("tones", "5" * 64)
    assert "tones" in transcript.settings


def test_an_interrupted_run_goes_on_and_ends_the_same(run: Sound, tmp_path: Path) -> None:
    whole, _ = recogniser(ToneEngine(), tmp_path / "a").recognise(run)
    total = 0
    for attempt in range(10):
        engine = ToneEngine(fail_at=1)
        try:
            again, _ = recogniser(engine, tmp_path / "b").recognise(run)
        except KeyboardInterrupt:
            total += len(engine.calls)
            continue
        assert again == whole
        assert attempt >= 3
        assert total + len(engine.calls) == 5
        return
    pytest.fail("the run never came to its end")


def test_unfinished_work_of_other_settings_is_not_used(run: Sound, tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt):
        recogniser(ToneEngine(fail_at=2), tmp_path).recognise(run)
    engine = ToneEngine(label="other tones")
    recogniser(engine, tmp_path).recognise(run)
    assert len(engine.calls) == 5


@pytest.mark.parametrize("text", ["", "{", "[]", '{"reached": 3}', '{"reached": "x", "words": 1}'])
def test_damaged_unfinished_work_is_done_again(run: Sound, tmp_path: Path, text: str) -> None:
    with pytest.raises(KeyboardInterrupt):
        recogniser(ToneEngine(fail_at=2), tmp_path).recognise(run)
    (kept,) = (tmp_path / "unfinished").glob("*.json")
    kept.write_text(text)
    engine = ToneEngine()
    recogniser(engine, tmp_path).recognise(run)
    assert len(engine.calls) == 5


def test_progress_rises_to_the_end(run: Sound, tmp_path: Path) -> None:
    seen: list[tuple[int, int]] = []
    recogniser(ToneEngine(), tmp_path).recognise(run, progress=lambda *now: seen.append(now))
    assert len(seen) == 5
    assert all(a[0] < b[0] for a, b in itertools.pairwise(seen))
    assert seen[-1] == (LENGTH_MS, LENGTH_MS)


def test_the_words_so_far_are_told_while_there_is_more_to_hear(run: Sound, tmp_path: Path) -> None:
    told: list[Transcript] = []
    whole, _ = recogniser(ToneEngine(), tmp_path).recognise(run, so_far=told.append)
    assert len(told) == 4, "five windows, the last is the result itself"
    counts = [len(heard(part)) for part in told]
    assert 0 < counts[0] < counts[1] < counts[2] < counts[3] < len(SAID)
    for part, count in zip(told, counts, strict=True):
        assert heard(part) == heard(whole)[:count]


def test_without_a_voice_the_recording_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "engine.wav"
    noise = np.random.default_rng(0).normal(0, 0.02, 30 * RATE).astype(np.float32)
    soundfile.write(path, noise, RATE)
    with pytest.raises(AudioError) as caught:
        recogniser(ToneEngine(), tmp_path).recognise(check_sound(path))
    assert caught.value.code == "A10"


def test_words_the_engine_does_not_believe_itself_are_no_speech(run: Sound, tmp_path: Path) -> None:
    with pytest.raises(AudioError) as caught:
        recogniser(ToneEngine(logprob=-1.5, no_speech=0.9), tmp_path).recognise(run)
    assert caught.value.code == "A10"


@pytest.mark.parametrize(
    ("multilingual", "codes", "refused"),
    [
        (True, (("es", 0.95),), True),
        (True, (("es", 0.95), ("en", 0.6)), False),
        (True, (("es", 0.5),), False),
        (True, (("en", 0.99),), False),
        (False, (("es", 0.95),), False),
    ],
)
def test_another_language(
    run: Sound,
    tmp_path: Path,
    multilingual: bool,
    codes: tuple[tuple[str, float], ...],
    refused: bool,
) -> None:
    # A window of the whole run holds two chunks, so two guesses are asked for.
    engine = ToneEngine(multilingual=multilingual, codes=codes)
    hear = recogniser(engine, tmp_path, window_s=300)
    if refused:
        with pytest.raises(AudioError) as caught:
            hear.recognise(run)
        assert caught.value.code == "A11"
        assert "es" in caught.value.message
    else:
        hear.recognise(run)
        assert engine.guesses == (2 if multilingual else 0)


@pytest.mark.parametrize(
    ("logprob", "code", "asked", "refused"),
    [(-0.95, "es", 2, True), (-0.95, "en", 2, False), (-0.3, "es", 0, False)],
)
def test_doubtful_words_of_english_weights_are_checked_by_another_engine(
    run: Sound, tmp_path: Path, logprob: float, code: str, asked: int, refused: bool
) -> None:
    linguist = ToneEngine(multilingual=True, codes=((code, 0.95),))
    hear = dataclasses.replace(
        recogniser(ToneEngine(logprob=logprob), tmp_path, window_s=300), linguist=lambda: linguist
    )
    if refused:
        with pytest.raises(AudioError) as caught:
            hear.recognise(run)
        assert caught.value.code == "A11"
    else:
        hear.recognise(run)
    assert linguist.guesses == asked


def test_speech_that_is_hard_to_make_out_is_announced(run: Sound, tmp_path: Path) -> None:
    _, notices = recogniser(ToneEngine(prob=0.74), tmp_path).recognise(run)
    assert [notice.code for notice in notices] == ["N06"]
    _, notices = recogniser(ToneEngine(prob=0.75), tmp_path / "b").recognise(run)
    assert notices == ()


def test_the_terms_are_told_to_the_engine(run: Sound, tmp_path: Path) -> None:
    engine = ToneEngine()
    told = recogniser(engine, tmp_path)
    told.recognise(run, terms=("pitman arm", "drag link"))
    assert {terms for _, terms, careful in engine.calls if not careful} == {
        ("pitman arm", "drag link")
    }
    assert {terms for _, terms, careful in engine.calls if careful} <= {()}
    assert len({told.settings(("a",)), told.settings(("b",)), told.settings()}) == 3


class LoopingEngine(ToneEngine):
    """Loops on the first try of every chunk; careful tries are clean."""

    def decode(self, chunks, terms=(), *, careful=False):  # type: ignore[no-untyped-def]
        clean = super().decode(chunks, terms, careful=careful)
        if careful:
            return clean
        loop = tuple(HeardWord(text=" same", start=n / 10, end=n / 10, prob=0.9) for n in range(9))
        return tuple(
            Piece(words=loop, logprob=p.logprob, no_speech=0.0, compression=8.0) for p in clean
        )


def test_a_looping_chunk_is_tried_again_carefully(run: Sound, tmp_path: Path) -> None:
    engine = LoopingEngine()
    transcript, _ = recogniser(engine, tmp_path).recognise(run)
    assert [text for _, text in heard(transcript)] == [f"w{number}" for _, number in SAID]
    assert sum(careful for *_, careful in engine.calls) == 5
