"""Nothing is lost on the way into a transcript file and back."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.speech.captions import as_srt, as_vtt, read_srt, read_vtt
from walkgrade.speech.cues import ROLES, segments_from, spread
from walkgrade.speech.records import Segment, Transcript, Word
from walkgrade.speech.transcript_json import as_data, from_data
from walkgrade.speech.transcripts import read_transcript, write_transcript

words = st.text("abcdefgh4/-'", min_size=1, max_size=8).filter(
    lambda text: any(letter.isalnum() for letter in text)
)


@st.composite
def transcripts(draw: st.DrawFn, speakers: st.SearchStrategy[str]) -> Transcript:
    """Segments in order; word times as a cue of their text would get them."""
    segments, at = [], 0
    for number in range(1, draw(st.integers(1, 8)) + 1):
        start = at + draw(st.integers(0, 100_000))
        at = start + draw(st.integers(0, 100_000))
        said = draw(st.lists(words, min_size=1, max_size=12))
        segments.append(
            Segment(
                id=f"s{number}",
                start=start,
                end=at,
                words=spread(said, start, at),
                speaker=draw(speakers),
            )
        )
    return Transcript(id="t", segments=tuple(segments), duration=at)


@given(transcripts(st.text(st.characters(categories=["L", "N"]), max_size=12)))
def test_vtt_comes_back(transcript: Transcript) -> None:
    cues, faults = read_vtt(as_vtt(transcript))
    assert faults == []
    assert segments_from(cues) == transcript.segments


@given(transcripts(st.sampled_from(["", *ROLES, "Examiner", "Speaker 2", "DRIVER b"])))
def test_srt_comes_back(transcript: Transcript) -> None:
    cues, faults = read_srt(as_srt(transcript))
    assert faults == []
    assert segments_from(cues) == transcript.segments


texts = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)


@st.composite
def recognised(draw: st.DrawFn) -> Transcript:
    """Anything the records allow, with every field set."""

    def segments(prefix: str) -> tuple[Segment, ...]:
        made, at = [], 0
        for number in range(draw(st.integers(1, 4))):
            start, said = at + draw(st.integers(0, 999)), []
            at = start
            for _ in range(draw(st.integers(1, 5))):
                begin = at + draw(st.integers(0, 99))
                at = begin + draw(st.integers(0, 99))
                prob = draw(st.floats(0, 1))
                said.append(Word(text=draw(texts), start=begin, end=at, prob=prob))
            made.append(
                Segment(
                    id=f"{prefix}{number}",
                    start=start,
                    end=at,
                    words=tuple(said),
                    speaker=draw(st.text(max_size=5)),
                )
            )
        return tuple(made)

    return Transcript(
        id=draw(texts),
        segments=segments("s"),
        duration=draw(st.integers(10_000, 10**9)),
        origin=draw(st.sampled_from(["typed", "recognised"])),
        timed=draw(st.booleans()),
        audio_sha256=draw(texts),
        model=draw(texts),
        model_sha256=draw(texts),
        settings=draw(texts),
        witnesses=segments("w"),
    )


@given(recognised())
def test_json_comes_back(transcript: Transcript) -> None:
    data = json.loads(json.dumps(as_data(transcript)))
    assert from_data(data) == transcript
    assert hash(transcript) == hash(from_data(data))


@pytest.mark.parametrize("name", ["t.json", "t.srt", "t.vtt"])
def test_files_come_back(tmp_path: Path, name: str) -> None:
    said = spread(("Lug", "nuts", "tight."), 100, 1_000)
    segment = Segment(id="s1", start=100, end=1_000, words=said, speaker="Trainee")
    transcript = Transcript(id="t", segments=(segment,), duration=1_000)
    write_transcript(tmp_path / name, transcript)
    assert read_transcript(tmp_path / name).segments == transcript.segments
    assert [path.name for path in tmp_path.iterdir()] == [name]


@given(st.lists(words, min_size=1, max_size=30), st.integers(0, 10**8), st.integers(0, 10**6))
def test_words_share_a_cue_without_gap_or_overlap(said: list[str], start: int, length: int) -> None:
    shared = spread(said, start, start + length)
    assert [word.text for word in shared] == said
    assert shared[0].start == start
    assert shared[-1].end == start + length
    assert all(a.end == b.start for a, b in itertools.pairwise(shared))
    if length >= 1000 * len(said):
        longest = max(shared, key=lambda word: word.end - word.start)
        assert len(longest.text) == max(map(len, said))
