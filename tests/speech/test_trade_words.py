"""The usual model knows the trade's words and puts none into talk that has none."""

from __future__ import annotations

from pathlib import Path

import jiwer
import pytest

from benchmarks.speech_speed import plain
from walkgrade.checklists.library import find_checklist
from walkgrade.language.expected import expected_names, expected_words
from walkgrade.speech.listen import listen
from walkgrade.speech.models import DEFAULT_MODEL, installed_models

pytestmark = pytest.mark.audio

CHECKLIST = "school-bus-air-classic"
TALK = Path(__file__).parents[1] / "data" / "trade_talk"


def sound(name: str) -> Path:
    """A recording of tests/data/trade_talk, if it can be heard here."""
    if DEFAULT_MODEL not in {model.name for model in installed_models()}:
        pytest.skip("the speech models are not installed")
    return TALK / f"{name}.opus"


def said(name: str) -> str:
    return " ".join(plain((TALK / f"{name}.txt").read_text(encoding="utf-8")))


def heard(place: Path, model: str, cache: Path) -> str:
    told = expected_words(find_checklist(CHECKLIST))
    transcript, _ = listen(place, model=model, cache_dir=cache, terms=told)
    return " ".join(plain(" ".join(segment.text for segment in transcript.segments)))


def test_words_of_the_trade_are_heard_better_than_by_the_plain_model(tmp_path: Path) -> None:
    usual, bare = (
        jiwer.wer(said("lines"), heard(sound("lines"), model, tmp_path))
        for model in (DEFAULT_MODEL, "tiny.en")
    )
    assert usual <= 0.06
    assert usual <= bare / 2


def test_no_part_is_put_into_talk_that_names_none(tmp_path: Path) -> None:
    text = heard(sound("near"), DEFAULT_MODEL, tmp_path)
    assert jiwer.wer(said("near"), text) <= 0.12, "what it heard is of no use here"
    assert [name for name in expected_names(find_checklist(CHECKLIST)) if name in text] == []
