"""Reading beside the recogniser: the same grade, and most of the reading done before the end."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.language.close_reader import load_close_reader
from walkgrade.language.run_reader import load_run_reader
from walkgrade.reports.document import Attempt
from walkgrade.speech.records import Segment, Transcript, Word
from walkgrade.trained import load_readers
from walkgrade.workflow import Terms, Tools, grade_file

LINES = [f"number {n} the air hose is not leaking and the clamp is tight" for n in range(60)]


def said(lines: list[str]) -> Transcript:
    segments = []
    for at, line in enumerate(lines):
        words = tuple(
            Word(text=w, start=at * 9_000 + n * 300, end=at * 9_000 + n * 300 + 200)
            for n, w in enumerate(line.split())
        )
        segments.append(
            Segment(id=f"s{at + 1}", start=words[0].start, end=words[-1].end, words=words)
        )
    return Transcript(
        id="t",
        segments=tuple(segments),
        duration=600_000,
        origin="recognised",
        audio_sha256="0" * 64,
    )


@pytest.fixture
def terms() -> Terms:
    return Terms(
        checklist=find_checklist("school-bus-air-classic"), profile=find_profile("yard-bus-air")
    )


def graded(terms: Terms, tmp_path: Path, parts: list[int]) -> object:
    def listen(
        path: Path, so_far: Callable[[Transcript], None] | None = None
    ) -> tuple[Transcript, tuple[()]]:
        assert so_far is not None
        for count in parts:
            so_far(said(LINES[:count]))
        return said(LINES), ()

    for loaded in (load_run_reader, load_close_reader, load_readers):
        loaded.cache_clear()
    (tmp_path / "run.wav").write_bytes(b"sound")
    tools = Tools(listen=listen)
    run = grade_file(tmp_path / "run.wav", terms, tools, attempt=Attempt(id="a"))
    return run.findings, run.grade


def test_what_is_heard_on_the_way_changes_no_grade(terms: Terms, tmp_path: Path) -> None:
    assert graded(terms, tmp_path, [20, 40, 55]) == graded(terms, tmp_path, [])


def test_a_recording_that_cannot_be_heard_says_so(terms: Terms, tmp_path: Path) -> None:
    def listen(path: Path, so_far: object = None) -> tuple[Transcript, tuple[()]]:
        raise OSError("the card was pulled")

    (tmp_path / "run.wav").write_bytes(b"sound")
    with pytest.raises(OSError, match="pulled"):
        grade_file(tmp_path / "run.wav", terms, Tools(listen=listen))
