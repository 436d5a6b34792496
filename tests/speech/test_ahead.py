"""A recording heard while it grows: the same words, nothing kept before its end, little left."""

from __future__ import annotations

import contextlib
import dataclasses
import io
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from tone_engine import RATE, ToneEngine, talk

from walkgrade.errors import AudioError
from walkgrade.practice.recording import Recording
from walkgrade.speech import ahead
from walkgrade.speech import listen as listen_module
from walkgrade.speech.ahead import STEP_S, Control, Gone, Order, Stopped, order_of
from walkgrade.speech.cache import RecognitionCache
from walkgrade.speech.listen import listen
from walkgrade.speech.memory import Memory
from walkgrade.speech.models import DEFAULT_MODEL, ModelFolder, installed_models
from walkgrade.speech.records import Transcript

LENGTH_S = 700
PASS_S = 50
BATCH_OF_CHUNKS = 4
WINDOW_S = 300
SAID = [(at, number % 59) for number, at in enumerate(range(1_000, 690_000, 730))]


@dataclasses.dataclass
class Engines:
    """Stands for the models: an engine of tones."""

    tones: ToneEngine

    def load(self, model: ModelFolder, **options: object) -> ToneEngine:
        return self.tones


def engines() -> Engines:
    return Engines(ToneEngine(prob=0.9))


@pytest.fixture(autouse=True)
def models(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """A model without weights; real ones for the tests marked audio."""
    if request.node.get_closest_marker("audio"):
        return
    named = type("Named", (), {"name": DEFAULT_MODEL, "multilingual": False})

    def resolve(model: str, **options: object) -> ModelFolder:
        return ModelFolder(name=model, folder=Path("nowhere"), sha256=model.ljust(64, "0"))

    monkeypatch.setattr(listen_module, "installed_models", lambda: (named,))
    monkeypatch.setattr(listen_module, "resolve_model", resolve)
    monkeypatch.setattr(
        listen_module, "identify_model", lambda model, **options: (model, model.ljust(64, "0"))
    )


@pytest.fixture(scope="module")
def sound() -> np.ndarray:
    """Samples of the run, 16-bit."""
    return np.round(talk(SAID, LENGTH_S * 1000) * 32_767).astype("<i2")


def words(transcript: Transcript) -> list[tuple[int, int, str, float]]:
    return [
        (word.start, word.end, word.text, word.prob)
        for segment in transcript.segments
        for word in segment.words
    ]


def grow(place: Path, sound: np.ndarray, each: Callable[[], None]) -> None:
    """Record `sound` to `place`, with a pause for `each` after every `PASS_S` of it."""
    with Recording(place, RATE) as recording:
        for at in range(0, sound.size, PASS_S * RATE):
            recording.add(sound[at : at + PASS_S * RATE].tobytes())
            each()


def early(place: Path, cache: Path, memory: Memory, **options: Any) -> None:
    """One pass over a growing file; that nothing is settled in it yet is no fault."""
    with contextlib.suppress(AudioError):
        listen(place, cache_dir=cache, memory=memory, growing=True, **options)


def test_a_growing_recording_gives_the_words_of_one_pass_over_the_whole(
    sound: np.ndarray, tmp_path: Path
) -> None:
    place, cache = tmp_path / "run.wav", tmp_path / "cache"
    memory = Memory(engines().load)
    grow(place, sound, lambda: early(place, cache, memory))
    assert not cache.exists(), "something was kept of a file that still grew"

    memory.forget_counts()
    last, _ = listen(place, cache_dir=cache, memory=memory)
    decoded, remembered = memory.counts()
    once, _ = listen(place, cache_dir=tmp_path / "other", memory=Memory(engines().load))
    assert last == once
    assert last.model == DEFAULT_MODEL
    assert [text for _, _, text, _ in words(last)] == [f"w{number}" for _, number in SAID]
    assert decoded == 1, "the chunk that was open"
    assert remembered > decoded
    assert [path.name[:64] for path in (cache / "recognised").iterdir()] == [last.audio_sha256]
    RecognitionCache(cache).forget(last.audio_sha256)
    assert [path for path in cache.rglob("*") if path.is_file()] == []


def test_what_is_not_settled_is_left_for_later(sound: np.ndarray, tmp_path: Path) -> None:
    """The last chunk of a file that grows is not decoded; those before it are decoded singly while
    they are among the last ones, and as the batch that they will be."""
    place, found = tmp_path / "run.wav", engines()
    memory = Memory(found.load)
    lengths: list[int] = []

    def hear() -> None:
        transcript, _ = listen(place, cache_dir=tmp_path, memory=memory, growing=True)
        lengths.append(len(words(transcript)))

    with Recording(place, RATE) as recording:
        recording.add(sound[: 250 * RATE].tobytes())
        hear()
        recording.add(sound[250 * RATE : 251 * RATE].tobytes())
        hear()
    assert lengths[0] == lengths[1] < sum(at < 250_000 for at, _ in SAID)
    sizes = [chunks for chunks, *_ in found.tones.calls]
    assert sizes == [1, 1, 1, 1, 1, BATCH_OF_CHUNKS]


def test_whenever_it_is_stopped_little_is_left(tmp_path: Path) -> None:
    """At most the open chunk and one that was filled since the last pass, also where four more
    chunks become a batch (here at 220 s); more only where a window of five minutes is full."""
    said = [(at, number % 59) for number, at in enumerate(range(1_000, 320_000, 520))]
    sound = np.round(talk(said, 320_000) * 32_767).astype("<i2")
    growing, stopped = tmp_path / "growing.wav", tmp_path / "stopped.wav"
    memory, left = Memory(engines().load), []
    first = range(170, 310, 10)
    with Recording(growing, RATE) as recording:
        recording.add(sound[: first[0] * RATE].tobytes())
        for at in first:
            early(growing, tmp_path, memory)
            stop = (at + STEP_S - 1) * RATE
            soundfile.write(stopped, sound[:stop], RATE)
            memory.forget_counts()
            listen(stopped, cache_dir=tmp_path, memory=memory)
            left.append(memory.counts()[0])
            recording.add(sound[at * RATE : (at + first.step) * RATE].tobytes())
    assert [chunks > 2 for chunks in left] == [at + STEP_S > WINDOW_S for at in first]


def test_an_interrupted_pass_costs_only_what_was_under_way(
    sound: np.ndarray, tmp_path: Path
) -> None:
    place, found = tmp_path / "run.wav", engines()
    soundfile.write(place, sound, RATE)
    left = iter(range(5))

    def before() -> None:
        if next(left, None) is None:
            raise Stopped

    memory = Memory(found.load, before)
    with pytest.raises(Stopped):
        listen(place, cache_dir=tmp_path / "a", memory=memory, growing=True)
    memory.before = lambda: None
    memory.forget_counts()
    before_last = len(found.tones.calls)
    assert before_last > 0
    last, _ = listen(place, cache_dir=tmp_path / "a", memory=memory)
    assert last == listen(place, cache_dir=tmp_path / "b", memory=Memory(engines().load))[0]
    assert memory.counts()[1] == sum(n for n, *_ in found.tones.calls[:before_last])


def test_an_order_survives_its_line() -> None:
    order = Order(
        path="a \n ü.wav", bytes_a_second=32_000, model="auto", device="cpu", cache_dir="c",
        terms=("Pitman arm", "drag link"),
    )  # fmt: skip
    assert "\n" not in order.line()
    assert order_of(order.line()) == order


def order(place: Path, cache: Path) -> Order:
    return Order(
        path=str(place), bytes_a_second=2 * RATE, model="auto", device="cpu", cache_dir=str(cache)
    )


def test_passes_follow_the_growing_file_until_the_stop(
    sound: np.ndarray, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[int] = []
    place = tmp_path / "run.wav"
    control = Control(io.StringIO(""))

    class Recorder:
        """Lets the file grow by 10 s whenever somebody waits for it."""

        recording = None
        at = 0

        def __call__(self, seconds: float) -> None:
            self.recording = self.recording or Recording(place, RATE)
            self.recording.add(sound[self.at : self.at + 10 * RATE].tobytes())
            self.at += 10 * RATE
            if self.at == 100 * RATE:
                control._stopped = True
                self.recording.close()

    def heard(path: Path, **options: object) -> None:
        assert options["growing"] is True
        seen.append(round((path.stat().st_size - 44) / 2 / RATE))

    monkeypatch.setattr(control, "wait", Recorder())
    monkeypatch.setattr(ahead, "listen", heard)
    with pytest.raises(Stopped):
        ahead.follow(order(place, tmp_path), Memory(), control)
    assert seen == [10, 20, 30, 40, 50, 60, 70, 80, 90]


@pytest.mark.parametrize(
    ("stopped", "gone", "last", "raised"),
    [
        (False, False, False, None),
        (True, False, False, Stopped),
        (True, False, True, None),
        (True, True, True, Gone),
        (False, True, False, Gone),
    ],
)
def test_what_ends_work(stopped: bool, gone: bool, last: bool, raised: type | None) -> None:
    control = Control(io.StringIO(""))
    control._stopped, control._gone, control.last = stopped, gone, last
    if raised is None:
        control.check()
        return
    with pytest.raises(raised):
        control.check()


def process() -> subprocess.Popen[str]:
    root = Path(__file__).resolve().parents[2]
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "walkgrade.speech.ahead"],
        env=os.environ | {"PYTHONPATH": str(root)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.audio
def test_the_process_ends_when_its_input_does(tmp_path: Path) -> None:
    with process() as job:
        assert job.stdin is not None
        job.stdin.write(order(tmp_path / "never.wav", tmp_path).line() + "\n")
        job.stdin.flush()
        time.sleep(1)
        assert job.poll() is None
        out, err = job.communicate(timeout=20)
    assert (job.returncode, out, err) == (1, "", "")


@pytest.mark.audio
def test_the_real_engine_gives_the_same_ahead_as_afterwards(reading: Path, tmp_path: Path) -> None:
    if DEFAULT_MODEL not in {model.name for model in installed_models()}:
        pytest.skip("the model is not installed: make setup")
    sound, rate = soundfile.read(reading, dtype="int16")
    sound = np.tile(sound, 7)[: 200 * rate]  # more than a batch of chunks
    place, cache = tmp_path / "run.wav", tmp_path / "cache"
    memory = Memory()
    with Recording(place, rate) as recording:
        for part in np.array_split(sound, 3):
            recording.add(part.astype("<i2").tobytes())
            early(place, cache, memory, terms=("sire",))
    memory.forget_counts()
    last, notices = listen(place, cache_dir=cache, memory=memory, terms=("sire",))
    decoded, remembered = memory.counts()
    assert remembered >= BATCH_OF_CHUNKS > 0 < decoded
    once = listen(place, cache_dir=tmp_path / "other", terms=("sire",))
    assert (last, notices) == once
    assert RecognitionCache(cache).forget(last.audio_sha256) == 1
