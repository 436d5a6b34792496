"""Transcript files of every form: what is read, what is refused, and that nothing is lost."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.errors import InputError
from walkgrade.speech.captions import as_srt, as_vtt, read_srt, read_vtt
from walkgrade.speech.cues import ROLES, segments_from, split_label, spread, words_in
from walkgrade.speech.records import Segment, Transcript, Word
from walkgrade.speech.transcript_json import as_data, from_data
from walkgrade.speech.transcripts import TranscriptError, read_transcript, write_transcript

Row = tuple[int, int, str, str]

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


def rows(transcript: Transcript) -> list[Row]:
    return [(s.start, s.end, s.speaker, s.text) for s in transcript.segments]


def read(folder: Path, name: str, text: str | bytes) -> Transcript:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_transcript(path)


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
