"""A file in, a transcript out: the real engine on a real voice."""

from __future__ import annotations

import itertools
import shutil
import subprocess
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile
from speech_clips import reference_text, spoken_words

from walkgrade.errors import AudioError, ModelError
from walkgrade.speech import listen as listen_module
from walkgrade.speech.cache import RecognitionCache
from walkgrade.speech.engine import WhisperEngine, available_cores, choose_device, engine_label
from walkgrade.speech.listen import listen
from walkgrade.speech.models import DEFAULT_MODEL, ModelFolder, installed_models
from walkgrade.speech.places import digest_of
from walkgrade.speech.records import Transcript
from walkgrade.speech.timeline import RATE

pytestmark = pytest.mark.audio


@pytest.fixture(scope="module")
def heard(
    reading: Path, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Transcript, Path, list[tuple[int, int]]]:
    """The five clips recognised once, with the cache they went to and the progress reported."""
    folder = tmp_path_factory.mktemp("heard")
    seen: list[tuple[int, int]] = []
    transcript, notices = listen(reading, cache_dir=folder, progress=lambda *now: seen.append(now))
    assert notices == ()
    return transcript, folder, seen


def test_the_transcript_says_what_it_is_and_keeps_its_order(
    heard: tuple[Transcript, Path, list[tuple[int, int]]], reading: Path
) -> None:
    transcript, _, seen = heard
    words = [word for segment in transcript.segments for word in segment.words]
    assert transcript.origin == "recognised"
    assert transcript.timed
    assert transcript.model == DEFAULT_MODEL
    assert transcript.audio_sha256 == digest_of(reading)
    assert transcript.duration == pytest.approx(soundfile.info(reading).duration * 1000, abs=2)
    assert seen[-1] == (transcript.duration, transcript.duration)
    assert all(0 <= word.start < word.end <= transcript.duration for word in words)
    assert all(a.end <= b.start for a, b in itertools.pairwise(words))
    assert all(0 <= word.prob <= 1 for word in words)
    assert len(transcript.segments) >= 5


def test_pauses_of_two_seconds_stay_empty(
    heard: tuple[Transcript, Path, list[tuple[int, int]]], clips: tuple[Path, ...]
) -> None:
    """No word may stretch over the pauses that packing cuts out."""
    at = 0
    for clip in clips:
        at += soundfile.info(clip).frames
        middle = (at + RATE) * 1000 // RATE
        assert not [
            word
            for segment in heard[0].segments
            for word in segment.words
            if word.start < middle < word.end
        ]
        at += 2 * RATE


def test_a_kept_result_comes_at_once_and_without_the_engine(
    heard: tuple[Transcript, Path, list[tuple[int, int]]],
    reading: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    transcript, folder, _ = heard
    monkeypatch.setattr(listen_module, "WhisperEngine", None)
    monkeypatch.setattr(listen_module, "check_sound", None)
    before = time.perf_counter()
    again, notices = listen(reading, cache_dir=folder)
    assert time.perf_counter() - before < 2
    assert (again, notices) == (transcript, ())


def test_a_fresh_run_gives_the_same_again(
    heard: tuple[Transcript, Path, list[tuple[int, int]]], reading: Path
) -> None:
    transcript, folder, _ = heard
    again, _ = listen(reading, cache_dir=folder, fresh=True)
    assert again == transcript


def test_a_kept_result_does_not_serve_another_sound(
    heard: tuple[Transcript, Path, list[tuple[int, int]]], clips: tuple[Path, ...]
) -> None:
    transcript, notices = listen(clips[1], cache_dir=heard[1])
    assert transcript.audio_sha256 == digest_of(clips[1])
    assert [notice.code for notice in notices] == ["N05"]
    assert RecognitionCache(heard[1]).forget(transcript.audio_sha256) == 1


def test_words_to_expect_are_told_and_the_speech_is_still_heard(
    clips: tuple[Path, ...], tmp_path: Path
) -> None:
    plain, _ = listen(clips[1], cache_dir=tmp_path)
    told, _ = listen(clips[1], cache_dir=tmp_path, terms=("disposed",))
    assert told.settings != plain.settings
    heard = [word for segment in told.segments for word in spoken_words(segment.text)]
    assert len(set(heard) & set(reference_text(clips[1]).split())) >= 5


@pytest.mark.parametrize("kind", ["engine", "chords"])
def test_engine_noise_and_music_are_no_speech(tmp_path: Path, kind: str) -> None:
    t = np.arange(20 * RATE) / RATE
    noise = np.random.default_rng(3).normal(0, 1, t.size)
    if kind == "engine":
        firing = sum(np.sin(2 * np.pi * 31 * n * t) / n for n in range(1, 12))
        sound = 0.05 * firing + 0.02 * noise
    else:
        roots = np.array([220, 247, 262, 196])[(t // 1.5).astype(int) % 4]
        fade = np.exp(-2 * (t % 1.5))
        sound = sum(0.1 * fade * np.sin(2 * np.pi * roots * step * t) for step in (1, 1.25, 1.5))
    soundfile.write(tmp_path / "sound.wav", sound.astype(np.float32), RATE)
    with pytest.raises(AudioError) as caught:
        listen(tmp_path / "sound.wav", cache_dir=tmp_path / "cache")
    assert caught.value.code == "A10"


def test_another_language_is_refused_under_the_english_model(tmp_path: Path) -> None:
    if shutil.which("espeak-ng") is None or "base" not in {m.name for m in installed_models()}:
        pytest.skip("needs espeak-ng and the packages of base")
    said = (
        "Buenos días. Estoy revisando el autobús escolar. Los neumáticos están en buen estado, "
        "sin cortes ni grietas, y la presión es correcta. Los espejos están limpios."
    )
    path = tmp_path / "es.wav"
    subprocess.run(["espeak-ng", "-v", "es", "-w", path, said], check=True)
    with pytest.raises(AudioError) as caught:
        listen(path, cache_dir=tmp_path)
    assert caught.value.code == "A11"


def test_weights_that_are_none_are_refused(tmp_path: Path, clips: tuple[Path, ...]) -> None:
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (tmp_path / name).write_text("{}")
    with pytest.raises(ModelError) as caught:
        WhisperEngine(ModelFolder(name="x", folder=tmp_path, sha256=""))
    assert caught.value.code == "M07"
    with pytest.raises(ModelError) as caught:
        listen(clips[0], model=str(tmp_path), cache_dir=tmp_path / "cache")
    assert caught.value.code == "M07"


@pytest.mark.parametrize(
    ("device", "cards", "wanted"),
    [
        ("cpu", 0, "cpu"),
        ("cpu", 1, "cpu"),
        ("auto", 0, "cpu"),
        ("auto", 1, "cuda"),
        ("cuda", 2, "cuda"),
    ],
)
def test_devices(monkeypatch: pytest.MonkeyPatch, device: str, cards: int, wanted: str) -> None:
    monkeypatch.setattr("ctranslate2.get_cuda_device_count", lambda: cards)
    assert choose_device(device) == wanted


@pytest.mark.parametrize("device", ["cuda", "tpu", ""])
def test_a_device_that_is_not_there_is_refused(
    monkeypatch: pytest.MonkeyPatch, device: str
) -> None:
    monkeypatch.setattr("ctranslate2.get_cuda_device_count", lambda: 0)
    with pytest.raises(ModelError) as caught:
        choose_device(device)
    assert caught.value.code == "M08"


def test_settings_tell_devices_apart_and_cores_do_not_matter() -> None:
    options = listen_module.EngineOptions()
    assert engine_label("cpu", options) != engine_label("cuda", options)
    assert available_cores() >= 1
    assert str(available_cores()) + " cores" not in engine_label("cpu", options)
