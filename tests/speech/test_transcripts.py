"""Transcript files of every form that are read, and the words they give."""

from __future__ import annotations

from pathlib import Path

import pytest
from transcript_lines import SRT, VTT, read

from walkgrade.speech.cues import split_label, words_in
from walkgrade.speech.records import Transcript

Row = tuple[int, int, str, str]


def rows(transcript: Transcript) -> list[Row]:
    return [(s.start, s.end, s.speaker, s.text) for s in transcript.segments]


SRT_ROWS: list[Row] = [
    (1000, 3500, "", "Lug nuts are tight."),
    (4000, 65_250, "Examiner", "And the rim?"),
]

GOOD: list[tuple[str, str, str | bytes, list[Row], bool]] = [
    ("srt", "a.srt", SRT, SRT_ROWS, True),
    ("srt with a byte order mark", "a.srt", "\ufeff" + SRT, SRT_ROWS, True),
    ("srt with CRLF", "a.srt", SRT.replace("\n", "\r\n"), SRT_ROWS, True),
    ("srt with CR", "a.srt", SRT.replace("\n", "\r"), SRT_ROWS, True),
    ("srt in UTF-16", "a.srt", SRT.encode("utf-16"), SRT_ROWS, True),
    ("srt with points", "a.srt", SRT.replace(",", "."), SRT_ROWS, True),
    (
        "srt without numbers",
        "a.srt",
        SRT.replace("1\n00", "00").replace("2\n00", "00"),
        SRT_ROWS,
        True,
    ),
    ("srt called txt", "a.txt", SRT, SRT_ROWS, True),
    ("srt without a last line end", "a.srt", SRT.rstrip(), SRT_ROWS, True),
    ("srt with more empty lines", "a.srt", "\n\n" + SRT.replace("\n\n", "\n \n\n"), SRT_ROWS, True),
    (
        "srt with markup",
        "a.srt",
        "1\n00:00:01,000 --> 00:00:03,000 X1:1 X2:2\n"
        "{\\an8}<i>Rim</i> <font color='red'>bent</font> 4 < 5\n",
        [(1000, 3000, "", "Rim bent 4 5")],
        True,
    ),
    (
        "srt with two speakers in a cue",
        "a.srt",
        "1\n00:00:00,000 --> 00:00:03,000\n- Examiner: go on\n- Trainee: yes sir\n",
        [(0, 1250, "Examiner", "go on"), (1250, 3000, "Trainee", "yes sir")],
        True,
    ),
    (
        "srt with a sound note only",
        "a.srt",
        "1\n00:00:01,000 --> 00:00:02,000\n[engine]\n\n2\n"
        "00:00:02,000 --> 00:00:03,000\nrim [beep] ok\n",
        [(2000, 3000, "", "rim ok")],
        True,
    ),
    (
        "srt whose part name is no speaker",
        "a.srt",
        "1\n00:00:01,000 --> 00:00:02,000\nDrive shaft: not bent\n",
        [(1000, 2000, "", "Drive shaft: not bent")],
        True,
    ),
    (
        "vtt",
        "a.vtt",
        VTT,
        [
            (1000, 3500, "Trainee", "Lug nuts are tight clean."),
            (4000, 3_605_250, "Examiner Two", "And the rim?"),
        ],
        True,
    ),
    (
        "vtt with two voices in a cue",
        "a.vtt",
        "WEBVTT\n\n00:00.000 --> 00:02.000\n<v Ann>four</v> <v Bob>five</v>\n",
        [(0, 1000, "Ann", "four"), (1000, 2000, "Bob", "five")],
        True,
    ),
    (
        "vtt with a cue right under the header",
        "a.vtt",
        "WEBVTT\n00:00.000 --> 00:02.000\nfour\n",
        [(0, 2000, "", "four")],
        True,
    ),
    (
        "vtt with word times, classes and escapes",
        "a.vtt",
        "WEBVTT\n\n00:00.000 --> 00:02.000\n"
        "<00:00.500><c.a>four &lt;4</c> <lang en>mm&nbsp;or</lang>&lrm; 5\n",
        [(0, 2000, "", "four <4 mm or 5")],
        True,
    ),
    (
        "vtt with a role prefix",
        "a.vtt",
        "WEBVTT\n\n00:00.000 --> 00:02.000\nSpeaker 2: four\n",
        [(0, 2000, "Speaker 2", "four")],
        True,
    ),
    (
        "vtt with a tab header",
        "a.vtt",
        "WEBVTT\tx\n\n00:00.000 --> 00:02.000\nok\n",
        [(0, 2000, "", "ok")],
        True,
    ),
    (
        "vtt that touches",
        "a.vtt",
        "WEBVTT\n\n00:00.000-->00:02.000\nok\n\n00:02.000 --> 00:03.000\nyes\n",
        [(0, 2000, "", "ok"), (2000, 3000, "", "yes")],
        True,
    ),
    (
        "brackets",
        "a.txt",
        "[00:12] Lug nuts\n[01:02:03.5] are tight\n",
        [(12_000, 14_000, "", "Lug nuts"), (3_723_500, 3_724_300, "", "are tight")],
        True,
    ),
    (
        "bare clock",
        "a.txt",
        "00:12 Lug nuts\n00:00:13 Examiner: tight?\n",
        [(12_000, 13_000, "", "Lug nuts"), (13_000, 13_400, "Examiner", "tight?")],
        True,
    ),
    (
        "start and end",
        "a.txt",
        "[00:12 - 00:14] Lug nuts\n00:15 --> 00:19.25 tight\n",
        [(12_000, 14_000, "", "Lug nuts"), (15_000, 19_250, "", "tight")],
        True,
    ),
    (
        "seconds and tabs",
        "a.txt",
        "12.5\tLug nuts\n14\t16.75\tare tight\n",
        [(12_500, 14_000, "", "Lug nuts"), (14_000, 16_750, "", "are tight")],
        True,
    ),
    (
        "two lines of the same second share the time to the next",
        "a.txt",
        "[00:10] one\n[00:10] two three\n[00:12] four\n",
        [
            (10_000, 10_666, "", "one"),
            (10_666, 12_000, "", "two three"),
            (12_000, 12_400, "", "four"),
        ],
        True,
    ),
    (
        "a timed line that goes on",
        "a.txt",
        "\n[00:10] lug\nnuts\n\n[00:12] tight\n",
        [(10_000, 12_000, "", "lug nuts"), (12_000, 12_400, "", "tight")],
        True,
    ),
    (
        "no times",
        "a.txt",
        "Lug nuts are tight.\nExaminer: go on\n\nTread is 4/32.\n",
        [
            (0, 1600, "", "Lug nuts are tight."),
            (1600, 2400, "Examiner", "go on"),
            (2400, 3600, "", "Tread is 4/32."),
        ],
        False,
    ),
    (
        "no times, wrapped",
        "notes",
        "The front brake chamber is mounted and secured and it is\nnot leaking\nTight too\n",
        [
            (0, 5200, "", "The front brake chamber is mounted and secured and it is not leaking"),
            (5200, 6000, "", "Tight too"),
        ],
        False,
    ),
]


@pytest.mark.parametrize(
    ("name", "text", "wanted", "timed"), [row[1:] for row in GOOD], ids=[row[0] for row in GOOD]
)
def test_read(tmp_path: Path, name: str, text: str | bytes, wanted: list[Row], timed: bool) -> None:
    transcript = read(tmp_path, name, text)
    assert rows(transcript) == wanted
    assert transcript.timed is timed
    assert transcript.origin == "typed"
    assert transcript.duration == wanted[-1][1]
    assert [s.id for s in transcript.segments] == [f"s{n + 1}" for n in range(len(wanted))]
    for segment in transcript.segments:
        assert segment.words[0].start == segment.start
        assert segment.words[-1].end == segment.end
        assert all(word.prob == 1.0 for word in segment.words)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Examiner: go", ("Examiner", "go")),
        ("  examiner 2 :  go", ("examiner 2", "go")),
        ("– Trainee: go: now", ("Trainee", "go: now")),
        ("DRIVER: ", ("DRIVER", "")),
        ("Driver's seat: fine", ("", "Driver's seat: fine")),
        ("Tires: fine", ("", "Tires: fine")),
        ("the examiner: fine", ("", "the examiner: fine")),
        ("Examiner go", ("", "Examiner go")),
        ("Driver side mirror: fine", ("", "Driver side mirror: fine")),
        ("Speaker B: fine", ("Speaker B", "fine")),
    ],
)
def test_labels(text: str, wanted: tuple[str, str]) -> None:
    assert split_label(text) == wanted


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("lug nuts — tight ... yes", ["lug", "nuts", "tight", "yes"]),
        ("4/32 [beep] 90%", ["4/32", "90%"]),
        ("rim\u200e \ufeffok\u00a0now", ["rim", "ok", "now"]),
        ("[all noise]", []),
    ],
)
def test_spoken_words(text: str, wanted: list[str]) -> None:
    assert list(words_in(text)) == wanted
