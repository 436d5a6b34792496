"""Transcript files with faults: what is refused, under which code, and which lines are named."""

from __future__ import annotations

from pathlib import Path

import pytest
from transcript_lines import SRT, VTT, read

from walkgrade.errors import InputError
from walkgrade.speech.transcripts import TranscriptError, read_transcript

JSON_HEAD = '{"format": "walkgrade-transcript", "version": 1, "id": "t", "duration": 100, '
BAD: list[tuple[str, str, str | bytes, str, list[int]]] = [
    ("empty", "a.srt", "", "I21", []),
    ("only space", "a.txt", " \n\t\n", "I21", []),
    ("only a mark", "a.txt", b"\xef\xbb\xbf", "I21", []),
    ("no words", "a.txt", "...\n[engine]\n", "I21", []),
    ("vtt without cues", "a.vtt", "WEBVTT\n", "I21", []),
    ("json without words", "a.json", JSON_HEAD + '"segments": []}', "I21", []),
    ("vtt without its header", "a.vtt", "00:00 text\n", "I22", []),
    ("srt without times", "a.srt", "hello there\n", "I22", []),
    ("json that is none", "a.json", "[1]", "I22", []),
    ("another ending", "a.docx", "Lug nuts are tight", "I22", []),
    ("sound", "a.txt", b"RIFF\xff\xfe\x00\x00WAVE\x80\x81", "I26", []),
    ("old code page", "a.srt", SRT.replace("rim", "r\xefm").encode("latin-1"), "I26", []),
    ("srt bad minute", "a.srt", SRT.replace("00:01:05", "00:61:05"), "I23", [6]),
    ("srt bad arrow", "a.srt", SRT.replace("--> 00:01", "-> 00:01"), "I23", [5]),
    ("srt bad thousandths", "a.srt", SRT.replace(",250", ",25"), "I23", [6]),
    ("srt stray block", "a.srt", SRT + "\nwhat is this\n", "I23", [9]),
    ("srt backwards", "a.srt", SRT.replace("00:01:05,250", "00:00:03,999"), "I24", [6]),
    ("srt overlap", "a.srt", SRT.replace("00:00:04,000", "00:00:03,499"), "I24", [6]),
    ("srt out of order", "a.srt", SRT.replace("00:00:04,000", "00:00:00,500"), "I24", [6]),
    ("two faults", "a.srt", SRT.replace("03,500", "00,500").replace(",250", ",2"), "I24", [2, 6]),
    ("vtt with a comma", "a.vtt", VTT.replace("03.500", "03,500"), "I23", [9]),
    ("vtt second 60", "a.vtt", VTT.replace("00:03.500", "00:60.500"), "I23", [9]),
    ("vtt one-digit hour", "a.vtt", VTT.replace("01:00:05", "1:00:05"), "I23", [12]),
    ("vtt stray block", "a.vtt", VTT + "\nno times here\n", "I23", [16]),
    ("vtt overlap", "a.vtt", VTT.replace("00:03.500", "00:04.001"), "I24", [12]),
    ("text bad second", "a.txt", "[00:12] a\n[00:75] b\n", "I23", [2]),
    ("text bad first", "a.txt", "[0:1:2:3] a\n", "I23", [1]),
    ("text backwards", "a.txt", "[00:12] a\n[00:10] b\n[00:14] c\n", "I24", [2]),
    ("text end first", "a.txt", "[00:12 - 00:11] a\n", "I24", [1]),
    ("text overlap", "a.txt", "[00:12 - 00:16] a\n[00:14] b\n", "I24", [2]),
    ("json broken", "a.json", '{"a": 1,\n"b": }', "I25", [2]),
    ("json unknown key", "a.json", JSON_HEAD + '"segments": [], "more": 1}', "I25", [0]),
    ("json missing keys", "a.json", "{}", "I25", [0, 0, 0, 0, 0]),
    (
        "json other version",
        "a.json",
        JSON_HEAD.replace(": 1,", ": 2,") + '"segments": []}',
        "I25",
        [0],
    ),
    (
        "json probability",
        "a.json",
        JSON_HEAD + '"segments": [{"id": "s", "start": 0, "end": 9, '
        '"words": [{"text": "a", "start": 0, "end": 9, "prob": 1.5}]}]}',
        "I25",
        [0],
    ),
    (
        "json times",
        "a.json",
        JSON_HEAD + '"segments": ['
        '{"id": "a", "start": 0, "end": 200, "words": [{"text": "a", "start": 50, "end": 20}]},'
        '{"id": "b", "start": 150, "end": 140, "words": []}]}',
        "I24",
        [0, 0, 0, 0, 0],
    ),
]


@pytest.mark.parametrize(
    ("name", "text", "code", "lines"), [row[1:] for row in BAD], ids=[row[0] for row in BAD]
)
def test_refused(tmp_path: Path, name: str, text: str | bytes, code: str, lines: list[int]) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, name, text)
    assert caught.value.code == code
    assert caught.value.way_out
    if lines:
        assert isinstance(caught.value, TranscriptError)
        assert [fault.line for fault in caught.value.faults] == lines
        assert f"{tmp_path / name}:{lines[0]}:" in str(caught.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        read_transcript(tmp_path / "absent.srt")
    assert caught.value.code == "I20"


def test_a_huge_file_is_not_read(tmp_path: Path) -> None:
    with open(tmp_path / "huge.txt", "wb") as out:
        out.truncate(60_000_000)
    with pytest.raises(InputError) as caught:
        read_transcript(tmp_path / "huge.txt")
    assert caught.value.code == "I22"


def test_many_faults_are_all_kept_and_the_message_stays_short(tmp_path: Path) -> None:
    with pytest.raises(TranscriptError) as caught:
        read(tmp_path, "a.txt", "[00:01] a\n" + "[00:99] b\n" * 500)
    assert len(caught.value.faults) == 500
    assert len(str(caught.value).splitlines()) < 30
