"""What is kept, when it is used again, and how it is erased."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from walkgrade.speech.cache import RecognitionCache, recognition_key
from walkgrade.speech.records import Segment, SoundNotice, Transcript, Word

KEPT = Transcript(
    id="t1",
    segments=(
        Segment(id="s1", start=0, end=9, words=(Word(text="é", start=0, end=9, prob=0.25),)),
    ),
    duration=10,
    origin="recognised",
)
NOTICES = (SoundNotice(code="N01", text="clipped"),)
AUDIO = "a" * 64


def test_a_result_comes_back_whole(tmp_path: Path) -> None:
    cache = RecognitionCache(tmp_path)
    key = recognition_key(AUDIO, "m", "s")
    assert cache.find(key) is None
    cache.keep_unfinished(key, {"reached": 1})
    cache.keep(key, KEPT, NOTICES)
    assert cache.find(key) == (KEPT, NOTICES)
    assert cache.find_unfinished(key) is None


def test_sound_weights_and_settings_each_change_the_key() -> None:
    keys = [
        recognition_key(*parts)
        for parts in itertools.product(("a" * 64, "b" * 64), ("m", "n"), ("s", "t"))
    ]
    assert len(set(keys)) == 8
    assert recognition_key(AUDIO, "m\ns", "t") != recognition_key(AUDIO, "m", "s\nt\n")


@pytest.mark.parametrize(
    "text", ["", "{", "null", "{}", '{"transcript": {}, "notices": []}', '{"notices": 3}', "\x00"]
)
def test_a_damaged_result_counts_as_absent(tmp_path: Path, text: str) -> None:
    cache = RecognitionCache(tmp_path)
    cache.keep("k", KEPT, ())
    (tmp_path / "recognised" / "k.json").write_text(text)
    assert cache.find("k") is None


def test_forgetting_a_recording_erases_all_of_it_and_nothing_else(tmp_path: Path) -> None:
    cache = RecognitionCache(tmp_path)
    other = recognition_key("b" * 64, "m", "s")
    for settings in ("s", "t"):
        cache.keep(recognition_key(AUDIO, "m", settings), KEPT, ())
    cache.keep_unfinished(recognition_key(AUDIO, "m", "u"), {"reached": 1})
    cache.keep(other, KEPT, ())
    assert cache.forget(AUDIO) == 3
    assert [path.stem for path in tmp_path.rglob("*.json")] == [other]
    assert cache.forget(AUDIO) == 0


def test_a_cache_that_cannot_be_written_costs_nothing_but_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    cache = RecognitionCache(tmp_path / "file")
    cache.keep("k", KEPT, ())
    cache.keep_unfinished("k", {})
    assert cache.find("k") is None
