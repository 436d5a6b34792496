"""What the tests of transcript files share: two small files, and how one is read."""

from __future__ import annotations

from pathlib import Path

from walkgrade.speech.records import Transcript
from walkgrade.speech.transcripts import read_transcript

SRT = """1
00:00:01,000 --> 00:00:03,500
Lug nuts are tight.

2
00:00:04,000 --> 00:01:05,250
Examiner: And the rim?
"""
VTT = """WEBVTT Run of a bus

STYLE
::cue { color: white }

NOTE typed by hand

first
00:01.000 --> 00:03.500 align:start position:10%
<v Trainee>Lug <i>nuts</i> are tight &amp; clean.</v>

00:00:04.000 --> 01:00:05.250
<v.loud Examiner Two>And the
rim?
"""


def read(folder: Path, name: str, text: str | bytes) -> Transcript:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_transcript(path)
