"""Joins the stages: a file in, a graded attempt out.

Decides: the order of the stages and what is remembered of where a result came from; nothing else.
Conventions: the recogniser, the clock and the maker of ids are arguments, so the same words give
the same grade anywhere. Imports are inside the functions: reading a typed transcript never loads
a recogniser.
Public: `Terms`, `Tools`, `Graded`, `is_transcript`, `hear`, `grade_transcript`, `grade_file`,
`grade_each`, `find_runs`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from walkgrade.checklists.records import Checklist, VehicleProfile
from walkgrade.errors import InputError
from walkgrade.grading.records import Grade, Policy, Review
from walkgrade.matching.records import Findings
from walkgrade.reports.document import Attempt, Document, Source, source_of, to_document
from walkgrade.speech.records import SoundNotice, Transcript

if TYPE_CHECKING:
    from walkgrade.speech.recognise import SoFar

TRANSCRIPT_ENDINGS = (".json", ".srt", ".vtt", ".txt")

Heard = tuple[Transcript, tuple[SoundNotice, ...]]
MakeId = Callable[[Path], str]


class Listen(Protocol):
    """Sound file to words; `so_far` gets what is heard on the way (`walkgrade.speech.listen`)."""

    def __call__(self, path: Path, /, *, so_far: SoFar | None = None) -> Heard: ...


def file_id(path: Path) -> str:
    """An id for an attempt from the content of its file: the same file, the same id."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()[:16]


def _now() -> datetime:
    return datetime.now(tz=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a run is graded against: checklist, vehicle, policy, and the school's own settings.

    Points and target that the checklist sets replace those of the policy; `target` in percent and
    `budget_s` in seconds replace those of policy and checklist.
    """

    checklist: Checklist
    profile: VehicleProfile
    policy: Policy = field(default_factory=Policy)
    target: int | None = None
    budget_s: int | None = None

    def settled(self) -> tuple[Checklist, Policy]:
        """Checklist and policy with the school's settings put in."""
        from walkgrade.grading.policy import of_school

        checklist, policy = self.checklist, of_school(self.policy, self.checklist)
        if self.budget_s is not None:
            checklist = replace(checklist, budget_s=self.budget_s)
        if self.target is not None:
            policy = replace(policy, target_percent=self.target)
        return checklist, policy


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What touches the world: the recogniser, the clock, the maker of ids."""

    listen: Listen
    now: Callable[[], datetime] = _now
    make_id: MakeId = file_id


@dataclass(frozen=True, slots=True, kw_only=True)
class Graded:
    """A graded attempt with all it was made from; `notices` tell of the sound."""

    attempt: Attempt
    source: Source
    transcript: Transcript
    checklist: Checklist
    findings: Findings
    grade: Grade
    notices: tuple[SoundNotice, ...] = ()

    def document(self) -> Document:
        """The grade document (docs/report.md)."""
        return to_document(self.grade, self.findings, self.checklist, self.source, self.attempt)


def is_transcript(path: Path) -> bool:
    """True when the name says that the file holds words, not sound."""
    return path.suffix.lower() in TRANSCRIPT_ENDINGS


def hear(path: Path, listen: Listen, so_far: SoFar | None = None) -> Heard:
    """The words of `path`: read when it is a transcript, recognised when it is sound."""
    if is_transcript(path):
        from walkgrade.speech.transcripts import read_transcript

        return read_transcript(path), ()
    return listen(path, so_far=so_far)


def grade_transcript(
    transcript: Transcript,
    terms: Terms,
    *,
    attempt: Attempt,
    graded_at: str = "",
    reviews: tuple[Review, ...] = (),
    notices: tuple[SoundNotice, ...] = (),
) -> Graded:
    """Grade words that are already there. Pure but for loading the language data.

    Raises
    ------
    WalkgradeError : whatever a stage finds wrong with its input.
    """
    from walkgrade.checklists.applicable import applicable
    from walkgrade.grading.grade import grade
    from walkgrade.language.read import read
    from walkgrade.matching.match import match
    from walkgrade.trained import load_judge, load_readers

    checklist, policy = terms.settled()
    fitted = applicable(checklist, terms.profile)
    reading = read(transcript, fitted, load_readers())
    findings = match(reading, fitted, terms.profile.id, judge=load_judge())
    return Graded(
        attempt=attempt,
        source=source_of(
            transcript,
            graded_at=graded_at,
            profile_title=terms.profile.title,
            notices=tuple(notice.text for notice in notices),
        ),
        transcript=transcript,
        checklist=fitted,
        findings=findings,
        grade=grade(findings, fitted, transcript, policy, reviews=reviews),
        notices=notices,
    )


def grade_file(
    path: Path,
    terms: Terms,
    tools: Tools,
    *,
    attempt: Attempt | None = None,
    reviews: tuple[Review, ...] = (),
) -> Graded:
    """Grade a recording or a transcript file.

    Parameters
    ----------
    path : sound, or a transcript (``.json .srt .vtt .txt``).
    attempt : who and when; id and file name are filled in.

    Raises
    ------
    WalkgradeError : see the stages; nothing is written here.
    """
    from walkgrade.ready import Ready

    ready = None if is_transcript(path) else Ready(terms)
    try:
        transcript, notices = hear(path, tools.listen, ready.heard if ready is not None else None)
    finally:
        if ready is not None:
            ready.join()
    attempt = replace(
        attempt or Attempt(),
        id=(attempt.id if attempt else "") or tools.make_id(path),
        vehicle=(attempt.vehicle if attempt else "") or terms.profile.title,
        audio="" if is_transcript(path) else path.name,
    )
    return grade_transcript(
        transcript,
        terms,
        attempt=attempt,
        graded_at=tools.now().isoformat(timespec="seconds"),
        reviews=reviews,
        notices=notices,
    )


def grade_each(
    paths: Iterable[Path],
    terms: Terms,
    tools: Tools,
    attempt_of: Callable[[Path], Attempt],
    reviews_of: Callable[[Path], tuple[Review, ...]] = lambda path: (),
) -> Iterator[tuple[Path, Graded | Exception]]:
    """Grade files one after the other; a file that fails never stops the others.

    Yields
    ------
    (path, Graded), or (path, the exception) for a file that could not be graded.
    """
    for path in paths:
        try:
            yield (
                path,
                grade_file(path, terms, tools, attempt=attempt_of(path), reviews=reviews_of(path)),
            )
        except Exception as error:
            yield path, error


def find_runs(folder: Path, sound_endings: Collection[str]) -> tuple[Path, ...]:
    """The runs in a folder (not below it), by name: sound, and transcripts without a sound file.

    Raises
    ------
    InputError I04 : nothing in the folder can be graded.
    """
    files = sorted(path for path in folder.iterdir() if path.is_file() and path.name[0] != ".")
    sound = [path for path in files if path.suffix.lower() in sound_endings]
    heard = {path.stem for path in sound}
    words = [path for path in files if is_transcript(path) and path.stem not in heard]
    if not sound and not words:
        raise InputError(
            "I04",
            f"The folder {folder} holds no recording and no transcript.",
            f"Known endings: {' '.join((*sound_endings, *TRANSCRIPT_ENDINGS))}.",
        )
    return tuple(sorted((*sound, *words)))
