"""Transcript files: read any accepted form, write the project's own.

Decides: which form a file has, by its content first and then by the ending of its name.
Conventions: all faults of a file are reported together, each as ``file:line: what``; nothing is
repaired in silence. Text is UTF-8 (with or without a byte order mark) or UTF-16 with one.
Public: `read_transcript`, `write_transcript`, `TranscriptError`.
"""

from __future__ import annotations

import codecs
import hashlib
import json
from collections.abc import Sequence
from pathlib import Path

from walkgrade.errors import Fault, InputError
from walkgrade.speech.captions import as_srt, as_vtt, looks_like_srt, read_srt, read_vtt
from walkgrade.speech.cues import Cue, LineFault, order_faults, segments_from
from walkgrade.speech.places import write_whole
from walkgrade.speech.plain_text import read_plain
from walkgrade.speech.records import Transcript

FORMS = ".json, .srt, .vtt or .txt"
MOST_BYTES = 50_000_000
SHOWN = 20
_WAYS_OUT = {
    "I23": "Correct these lines; docs/speech.md shows the accepted forms.",
    "I24": "Let each line begin where the one before has ended, or later.",
    "I25": "Write it again with this version of walkgrade, or correct these places.",
}


class TranscriptError(InputError):
    """A transcript file with faults; `faults` lists them all, in the order of their lines."""

    def __init__(self, place: Path, faults: Sequence[LineFault | Fault], code: str = "") -> None:
        self.faults = tuple(
            fault
            if isinstance(fault, Fault)
            else Fault(file=str(place), line=fault.line, path=fault.code, message=fault.message)
            for fault in faults
        )
        first = code or next(f.code for f in faults if isinstance(f, LineFault))
        shown = "\n".join(str(fault) for fault in self.faults[:SHOWN])
        more = len(self.faults) - SHOWN
        super().__init__(
            first,
            f"{place.name} has {len(self.faults)} fault(s):\n{shown}"
            + (f"\n... and {more} more" if more > 0 else "")
            + "\n",
            _WAYS_OUT[first],
        )


def write_transcript(path: str | Path, transcript: Transcript) -> None:
    """Write `transcript`: captions when the name ends in .srt or .vtt, else JSON (version 1).

    Captions keep segments, speakers and times, but not the times of single words.

    Raises
    ------
    OutputError O20 : the file cannot be written.
    """
    place = Path(path)
    ending = place.suffix.casefold()
    if ending == ".srt":
        text = as_srt(transcript)
    elif ending == ".vtt":
        text = as_vtt(transcript)
    else:
        from walkgrade.speech.transcript_json import as_data

        text = json.dumps(as_data(transcript), ensure_ascii=False, indent=1) + "\n"
    write_whole(place, lambda out: out.write(text.encode("utf-8")))


def read_transcript(path: str | Path) -> Transcript:
    """Read a transcript file: the project's JSON, SubRip, WebVTT or typed text.

    Raises
    ------
    InputError I20 : no such file, or it cannot be read. I21 : no words in it. I22 : its form is
    not known. I26 : it is not text.
    TranscriptError I23 : broken times or blocks. I24 : times that overlap or run backwards.
    I25 : JSON of the wrong shape or version.
    """
    place = Path(path)
    raw = _bytes(place)
    text = _text(place, raw)
    if not text.strip():
        raise InputError("I21", f"{place.name} is empty.", f"Give a transcript ({FORMS}).")
    form = _form(place, text)
    if form == "json":
        return _read_json(place, text)
    timed = True
    if form == "vtt":
        cues, faults = read_vtt(text)
    elif form == "srt":
        cues, faults = read_srt(text)
    else:
        cues, faults, timed = read_plain(text)
    faults = sorted([*faults, *order_faults(cues)])
    if faults:
        raise TranscriptError(place, faults)
    return _typed(place, cues, timed, hashlib.sha256(raw).hexdigest())


def _typed(place: Path, cues: Sequence[Cue], timed: bool, digest: str) -> Transcript:
    segments = segments_from(cues)
    if not segments:
        raise InputError("I21", f"there are no words in {place.name}.", f"Give {FORMS}.")
    return Transcript(
        id=f"typed-{digest[:12]}", segments=segments, duration=segments[-1].end, timed=timed
    )


def _bytes(place: Path) -> bytes:
    try:
        size = place.stat().st_size
        if size > MOST_BYTES:
            raise InputError(
                "I22",
                f"{place.name} has {size} bytes, more than the {MOST_BYTES} of any transcript.",
                f"Give a transcript ({FORMS}).",
            )
        return place.read_bytes()
    except OSError as error:
        raise InputError(
            "I20", f"{place} cannot be read ({error.strerror}).", "Check the path."
        ) from error


def _text(place: Path, raw: bytes) -> str:
    wide = raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        text = raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(
            "I26",
            f"{place.name} is not UTF-8 text (byte {error.start}).",
            "Save it as UTF-8; to grade a recording give it as sound, not as transcript.",
        ) from error
    return text


def _form(place: Path, text: str) -> str:
    opening = text.lstrip()
    ending = place.suffix.casefold()
    if opening.startswith("{"):
        return "json"
    if text.split(maxsplit=1)[0] == "WEBVTT":
        return "vtt"
    if looks_like_srt(opening) or (ending == ".srt" and "-->" in text):
        return "srt"
    if ending in (".txt", ".text", ""):
        return "text"
    why = {
        ".json": "does not begin with {",
        ".vtt": "does not begin with WEBVTT",
        ".srt": "does not begin with a number and a line of times",
    }.get(ending, f"has the ending {ending!r}")
    raise InputError(
        "I22",
        f"the form of {place.name} is not known: it {why}.",
        f"Give a transcript as {FORMS}.",
    )


def _read_json(place: Path, text: str) -> Transcript:
    from pydantic import ValidationError

    from walkgrade.speech.transcript_json import from_data, time_faults

    try:
        transcript = from_data(json.loads(text))
    except json.JSONDecodeError as error:
        raise TranscriptError(
            place, [LineFault(line=error.lineno, code="I25", message=error.msg)]
        ) from error
    except ValidationError as error:
        faults = [_shape_fault(place, item["loc"], item["msg"]) for item in error.errors()]
        raise TranscriptError(place, faults, "I25") from error
    faults = [
        Fault(file=str(place), line=0, path=path, message=message)
        for path, message in time_faults(transcript)
    ]
    if faults:
        raise TranscriptError(place, faults, "I24")
    if not any(segment.words for segment in transcript.segments):
        raise InputError("I21", f"there are no words in {place.name}.", f"Give {FORMS}.")
    return transcript


def _shape_fault(place: Path, where: tuple[int | str, ...], message: str) -> Fault:
    path = "$" + "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in where)
    return Fault(file=str(place), line=0, path=path, message=message)
