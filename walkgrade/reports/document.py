"""The grade document: one JSON object that holds a graded attempt and where it came from.

Decides: the shape of the file (format name ``walkgrade-grade``, version 1; every field is described
in docs/report.md). Computes nothing: figures come from the grade, wording from the checklist.
Conventions: keys ending in ``_ms`` are whole milliseconds of the recording or lengths; null means
"not known". Evidence of a transcript without times has null times.
Public: FORMAT, VERSION, STATEMENT, Attempt, Source, source_of, to_document, write_document,
read_document.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from walkgrade import __version__
from walkgrade.checklists.records import Checklist
from walkgrade.errors import InputError
from walkgrade.files import write_text
from walkgrade.grading.records import Grade
from walkgrade.matching.records import Findings
from walkgrade.reports import parts
from walkgrade.speech.records import Segment, Transcript, Word

Document = dict[str, Any]

FORMAT = "walkgrade-grade"
VERSION = 1
STATEMENT = (
    "This is practice evidence, made from a recording. It is not an official score, sets no "
    "official pass mark, and proves no proficiency. The state's commercial driver manual, local "
    "rules, the examiner and the instructor decide."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """Who ran, on what, when (ISO 8601 text) and which sound file; every field may be empty."""

    id: str = ""
    trainee: str = ""
    vehicle: str = ""
    group: str = ""
    taken_at: str = ""
    audio: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where the grade came from: tool, transcript and model; `notices` are plain sentences about
    the sound (too quiet, clipped, cut short)."""

    tool: str = "walkgrade"
    tool_version: str = __version__
    graded_at: str = ""
    profile_title: str = ""
    transcript_id: str = ""
    transcript_sha256: str = ""
    origin: str = "typed"
    timed: bool = True
    language: str = "en"
    duration_ms: int | None = None
    model: str = ""
    model_sha256: str = ""
    settings: str = ""
    audio_sha256: str = ""
    notices: tuple[str, ...] = ()


def source_of(
    transcript: Transcript,
    *,
    graded_at: str = "",
    profile_title: str = "",
    notices: tuple[str, ...] = (),
) -> Source:
    """Provenance of `transcript`; its sha256 is taken over its segments written as compact JSON."""
    written = json.dumps(
        transcript.segments, ensure_ascii=False, separators=(",", ":"), default=_plain
    )
    return Source(
        graded_at=graded_at,
        profile_title=profile_title,
        transcript_id=transcript.id,
        transcript_sha256=hashlib.sha256(written.encode()).hexdigest(),
        origin=transcript.origin,
        timed=transcript.timed,
        language=transcript.language,
        duration_ms=transcript.duration if transcript.timed else None,
        model=transcript.model,
        model_sha256=transcript.model_sha256,
        settings=transcript.settings,
        audio_sha256=transcript.audio_sha256,
        notices=notices,
    )


def _plain(record: Segment | Word) -> Document:
    """The fields of a record by name (`asdict` would copy every word first)."""
    return {name.name: getattr(record, name.name) for name in fields(record)}


def to_document(
    grade: Grade,
    findings: Findings,
    checklist: Checklist,
    source: Source,
    attempt: Attempt | None = None,
) -> Document:
    """The document of one graded attempt, ready for `json.dumps`.

    Parameters
    ----------
    grade, findings, checklist : as graded together.
    source : provenance, see `source_of`.
    attempt : who, what and when; left out, its fields are empty.
    """
    return {
        "format": FORMAT,
        "format_version": VERSION,
        "statement": STATEMENT,
        "attempt": asdict(attempt or Attempt()),
        "provenance": _provenance(grade, checklist, source),
        "cautions": list(checklist.cautions),
        **_results(grade),
        "places": [{"id": place.id, "title": place.title} for place in checklist.places],
        **_evidence(grade, findings, checklist, timed=source.timed),
        "reviews": [parts.review(row) for row in grade.reviews],
    }


def _provenance(grade: Grade, checklist: Checklist, source: Source) -> Document:
    return {
        "tool": source.tool,
        "tool_version": source.tool_version,
        "graded_at": source.graded_at,
        "checklist": {
            "id": checklist.id,
            "version": checklist.version,
            "title": checklist.title,
            "vehicle": checklist.vehicle,
            "edition": checklist.edition,
            "sha256": checklist.sha256,
            "budget_ms": checklist.budget_s * 1_000,
        },
        "profile": {"id": grade.profile, "title": source.profile_title},
        "policy": parts.policy(grade.policy),
        "transcript": {
            "id": source.transcript_id,
            "sha256": source.transcript_sha256,
            "origin": source.origin,
            "timed": source.timed,
            "language": source.language,
            "duration_ms": source.duration_ms,
            "model": source.model,
            "model_sha256": source.model_sha256,
            "settings": source.settings,
            "audio_sha256": source.audio_sha256,
            "notices": list(source.notices),
        },
    }


def _results(grade: Grade) -> Document:
    """What stands without evidence: figures, drills, critical misses, pace."""
    return {
        "totals": parts.tally(grade.totals),
        "target": {
            "percent": grade.target.percent,
            "points_needed": grade.target.points_needed,
            "state": str(grade.target.state),
            "owner": grade.target.owner,
        },
        "drills": [parts.drill(row) for row in grade.drills],
        "critical": [parts.critical(row) for row in grade.critical],
        "listening": [parts.listen(row) for row in grade.listening],
        "pace": parts.pace(grade.pace, grade.policy),
        "sections": [parts.section(row) for row in grade.sections],
    }


def _evidence(grade: Grade, findings: Findings, checklist: Checklist, *, timed: bool) -> Document:
    """What points into the recording."""
    entries = {item.id: item for item in checklist.items}
    rows = {row.item: row for row in grade.items}
    return {
        "items": [
            parts.item(found, entries[found.item], rows[found.item], timed=timed)
            for found in findings.items
        ],
        "numbers": [parts.number(row, timed=timed) for row in grade.numbers],
        "number_gaps": [parts.number_gap(row) for row in grade.number_gaps],
        "remarks": [parts.remark(row, timed=timed) for row in findings.remarks],
        "phrasing": [
            {
                "kind": str(row.kind),
                "advice": row.advice,
                "remarks": [parts.remark(mark, timed=timed) for mark in row.remarks],
            }
            for row in grade.phrasing
        ],
        "notices": [parts.remark(row, timed=timed) for row in grade.notices],
        "order": parts.order(grade, findings, timed=timed),
        "lines": [parts.line(row, timed=timed) for row in findings.lines],
    }


def write_document(path: Path, document: Document) -> None:
    """Write `document` as UTF-8 JSON, whole or not at all.

    Raises
    ------
    OutputError ``O01`` when the file cannot be written, ``O02`` when the disk is full.
    """
    write_text(path, json.dumps(document, ensure_ascii=False, indent=1) + "\n")


def read_document(path: Path) -> Document:
    """Read and check a grade document.

    Raises
    ------
    InputError ``I60`` when the file cannot be read, ``I61`` when it is not JSON, ``I62`` when it is
    JSON of another format, ``I63`` for an unknown version, ``I64`` with every fault of its content.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(
            "I60",
            f"The report {path.name} could not be read: {error}.",
            "Give the path of a grade document (JSON, UTF-8).",
        ) from error
    return parse_document(text, path.name)


def parse_document(text: str, name: str = "document") -> Document:
    """Check a grade document given as text; `name` stands in the messages. Errors as above."""
    try:
        document = json.loads(text)
    except ValueError as error:
        raise InputError(
            "I61", f"{name} is not JSON: {error}.", "Give the JSON file that the grading wrote."
        ) from error
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise InputError(
            "I62",
            f'{name} does not say "format": "{FORMAT}".',
            "Give the JSON file that the grading wrote, not another JSON file.",
        )
    if document.get("format_version") != VERSION:
        raise InputError(
            "I63",
            f"{name} has format version {document.get('format_version')!r}; "
            f"this program reads version {VERSION}.",
            "Grade the run again, or use the program version that wrote the file.",
        )
    # pydantic is only needed when a file comes in.
    from walkgrade.reports.schema import faults

    found = faults(text)
    if found:
        raise InputError(
            "I64",
            f"{name} has {len(found)} fault(s): {'; '.join(found)}.",
            "Grade the run again; do not edit the file by hand.",
        )
    return _completed(document)


def _completed(document: Document) -> Document:
    """With the keys that documents written before there were close calls lack: they have none."""
    for tally in (document["totals"], *(row["tally"] for row in document["sections"])):
        tally.setdefault("close_calls", 0)
    for row in document["items"]:
        row.setdefault("close_call", False)
    for row in document["listening"]:
        row.setdefault("counted", False)
    return document
