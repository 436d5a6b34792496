"""Word error and word times on a real voice, against a published transcription and alignment.

Source: five LibriVox clips with transcription and forced alignment from the source archive of
pocketsphinx 5.1.1 (tests/data/librivox/README.md). Measured with faster-whisper 1.2.1 and
CTranslate2 4.8.5 on two cores, int8: 3 errors in 71 words with either model; the bound leaves room
for one more, since another CTranslate2 may round differently. Starts of words: median distance
122 ms (tiny.en) and 72 ms (base), largest 418 ms.
"""

from __future__ import annotations

import statistics
from pathlib import Path

import jiwer
import pytest
from speech_clips import reference, reference_text, spoken_words

from walkgrade.speech.listen import listen
from walkgrade.speech.models import installed_models
from walkgrade.speech.records import Transcript, Word

pytestmark = pytest.mark.audio


def heard(clip: Path, model: str, folder: Path) -> Transcript:
    if model not in {named.name for named in installed_models()}:
        pytest.skip(f"the packages of {model} are not installed")
    return listen(clip, model=model, cache_dir=folder)[0]


def words(transcript: Transcript) -> list[tuple[str, Word]]:
    return [
        (text, word)
        for segment in transcript.segments
        for word in segment.words
        for text in spoken_words(word.text)
    ]


@pytest.mark.parametrize(
    ("model", "most_errors"), [("tiny.en", 4), ("base", 4), ("trade", 7), ("trade.en", 7)]
)
def test_word_error_and_word_times(
    clips: tuple[Path, ...], tmp_path: Path, model: str, most_errors: int
) -> None:
    errors, spoken = 0, 0
    starts: list[int] = []
    for clip in clips:
        found = words(heard(clip, model, tmp_path))
        result = jiwer.process_words(reference_text(clip), " ".join(text for text, _ in found))
        errors += result.substitutions + result.deletions + result.insertions
        spoken += len(reference(clip))
        for chunk in result.alignments[0]:
            if chunk.type == "equal":
                for ours, theirs in zip(
                    found[chunk.hyp_start_idx : chunk.hyp_end_idx],
                    reference(clip)[chunk.ref_start_idx : chunk.ref_end_idx],
                    strict=True,
                ):
                    starts.append(abs(ours[1].start - theirs.start))
    assert spoken == 71
    assert errors <= most_errors
    assert statistics.median(starts) <= 150
    assert max(starts) <= 500
