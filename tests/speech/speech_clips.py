"""The published transcription and alignment of the LibriVox clips."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

WORDS = Path(__file__).parent.parent / "data" / "librivox" / "words.tsv"


@dataclass(frozen=True)
class SpokenWord:
    """A word of the transcription with the times (ms) of the published alignment."""

    text: str
    start: int
    end: int


@cache
def reference(clip: Path) -> tuple[SpokenWord, ...]:
    """The words of one clip."""
    with open(WORDS, encoding="utf-8") as file:
        return tuple(
            SpokenWord(row["word"], int(row["start_ms"]), int(row["end_ms"]))
            for row in csv.DictReader(file, delimiter="\t")
            if row["clip"] == clip.name
        )


def reference_text(clip: Path) -> str:
    """The transcription of one clip, lower case without punctuation."""
    return " ".join(word.text for word in reference(clip))


def spoken_words(text: str) -> list[str]:
    """Recognised text in the form of the transcription."""
    plain = text.lower().replace("mr.", "mister").replace("-", " ")
    return re.sub(r"[^a-z' ]", " ", plain).split()
