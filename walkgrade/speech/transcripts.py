"""Transcript files: read any accepted form, write the project's own.

Decides: which form a file has (by its name's ending, then by its first line).
Conventions: faults are collected and reported together as ``file:line: what``.
Public: `read_transcript`, `write_transcript`.
"""

from __future__ import annotations

import json
from pathlib import Path

from walkgrade.errors import InputError
from walkgrade.speech.places import write_whole
from walkgrade.speech.records import Transcript


def write_transcript(path: str | Path, transcript: Transcript) -> None:
    """Write `transcript` as JSON (version 1).

    Raises
    ------
    OutputError O20 : the file cannot be written.
    """
    from walkgrade.speech.transcript_json import as_data

    text = json.dumps(as_data(transcript), ensure_ascii=False, indent=1) + "\n"
    write_whole(Path(path), lambda out: out.write(text.encode("utf-8")))


def read_transcript(path: str | Path) -> Transcript:
    """Read a transcript file.

    Raises
    ------
    InputError I20 : no such file, or it cannot be read.
    """
    from walkgrade.speech.transcript_json import from_data

    place = Path(path)
    try:
        return from_data(json.loads(place.read_text(encoding="utf-8")))
    except OSError as error:
        raise InputError("I20", f"{place} cannot be read ({error.strerror}).") from error
