"""Old attempts graded again against another checklist, and what that changes for each trainee.

Decides: where the words come from (the kept words beside the document, else the lines in it), which
of an instructor's corrections still hold, and what has changed for the trainee.
Conventions: old documents are never changed. A correction holds where the same must be said of the
same item as before; others are named. Lines of a document have no times of single words, nor how
surely they were heard: that is said in the new document.
Public: `ItemChange`, `Again`, `words_of`, `grade_again`, `item_changes`, `text_of`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.pairs import item_pairs
from walkgrade.checklists.records import Checklist, Item
from walkgrade.errors import InputError
from walkgrade.grading.records import Review
from walkgrade.reports.document import Document
from walkgrade.reports.restore import (
    attempt_of,
    checklist_of,
    policy_of,
    reviews_of,
    source_of_document,
)
from walkgrade.reports.wording import plural
from walkgrade.speech.cues import Cue, segments_from
from walkgrade.speech.records import SoundNotice, Transcript
from walkgrade.workflow import Graded, Terms, grade_transcript

KEPT_ENDINGS = (".words.json", ".vtt", ".srt")
FROM_LINES = (
    "Graded again from the lines of an earlier report: moments are those of whole sentences, and "
    "how surely a word was heard is not known."
)
_MS_PER_WORD = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemChange:
    """An item whose outcome is another now; empty: it was not, or is no longer, on the list."""

    item: str
    title: str
    was: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """One run graded again. `before` is what it is compared with; `words` tells where the words
    came from; `lost` are the corrections that no longer hold."""

    name: str
    before: Document
    graded: Graded
    after: Document
    words: str
    lost: tuple[Review, ...]
    changes: tuple[ItemChange, ...]


def words_of(path: Path, document: Document) -> tuple[Transcript, str]:
    """The words of a graded run, and the name of the file they come from.

    Raises
    ------
    InputError I43 : nothing was said in it. I20 to I26 : the kept words cannot be read.
    """
    from walkgrade.speech.transcripts import read_transcript

    for ending in KEPT_ENDINGS:
        kept = path.with_name(path.name.removesuffix(".json") + ending)
        if kept.is_file():
            return read_transcript(kept), kept.name
    return _from_lines(path.name, document), path.name


def _from_lines(name: str, document: Document) -> Transcript:
    heard = document["provenance"]["transcript"]
    cues: list[Cue] = []
    reached = 0
    for number, line in enumerate(document["lines"], start=1):
        start = reached if line["start_ms"] is None else max(reached, line["start_ms"])
        length = _MS_PER_WORD * len(line["text"].split())
        end = start + length if line["end_ms"] is None else max(start, line["end_ms"])
        who = "trainee" if line["voice"] == "trainee" else "examiner"
        cues.append(Cue(line=number, start=start, end=end, text=line["text"], speaker=who))
        reached = end
    segments = segments_from(cues)
    if not segments:
        raise InputError(
            "I43", f"{name} holds no words to grade again.", "Grade the recording itself again."
        )
    return Transcript(
        id=heard["id"],
        segments=segments,
        duration=max(heard["duration_ms"] or 0, segments[-1].end),
        origin=heard["origin"],
        timed=heard["timed"],
        language=heard["language"],
        audio_sha256=heard["audio_sha256"],
        model=heard["model"],
        model_sha256=heard["model_sha256"],
        settings=heard["settings"],
    )


def grade_again(
    path: Path,
    name: str,
    document: Document,
    terms_of: Callable[[Document], Terms],
    *,
    graded_at: str,
    old_terms_of: Callable[[Document], Terms] | None = None,
) -> Again:
    """Grade the run of `document` against other terms.

    Parameters
    ----------
    path, name : where the document lies, and its name below the folder.
    terms_of : the new checklist and the vehicle of a document.
    old_terms_of : the old checklist: then it too is graded now, so that nothing but the checklist
        differs between what is compared.

    Raises
    ------
    WalkgradeError : no words (`words_of`), or whatever grading finds wrong.
    """
    transcript, source = words_of(path, document)
    notices = [SoundNotice(code="", text=text) for text in source_of_document(document).notices]
    if source == path.name and FROM_LINES not in {one.text for one in notices}:
        notices.append(SoundNotice(code="", text=FROM_LINES))

    def again(terms: Terms, reviews: tuple[Review, ...]) -> Graded:
        return grade_transcript(
            transcript,
            replace(terms, policy=policy_of(document)),
            attempt=attempt_of(document),
            graded_at=graded_at,
            reviews=reviews,
            notices=tuple(notices),
        )

    terms = terms_of(document)
    old = checklist_of(document)
    kept, lost = _reviews(reviews_of(document), old, applicable(terms.checklist, terms.profile))
    before = document
    if old_terms_of is not None:
        mended = old_terms_of(document)
        there, _ = _reviews(reviews_of(document), old, applicable(mended.checklist, mended.profile))
        before = again(mended, there).document()
    graded = again(terms, kept)
    after = graded.document()
    return Again(
        name=name,
        before=before,
        graded=graded,
        after=after,
        words=source,
        lost=lost,
        changes=item_changes(before, after),
    )


def _reviews(
    reviews: Iterable[Review], old: Checklist, new: Checklist
) -> tuple[tuple[Review, ...], tuple[Review, ...]]:
    """Corrections that still hold, under the new ids, and those that do not."""
    same = {a.id: b.id for a, b in item_pairs(old, new) if a and b and _asked(a) == _asked(b)}
    kept, lost = [], []
    for review in reviews:
        if review.item in same:
            kept.append(replace(review, item=same[review.item]))
        else:
            lost.append(review)
    return tuple(kept), tuple(lost)


def _asked(item: Item) -> frozenset[tuple[object, ...]]:
    return frozenset((one.says, one.limit) for one in item.requirements if one.required)


def item_changes(before: Document, after: Document) -> tuple[ItemChange, ...]:
    """Items whose outcome differs between two documents, in the order of the new one."""
    was = {row["id"]: row["outcome"] for row in before["items"]}
    now = {row["id"]: row["outcome"] for row in after["items"]}
    pairs = item_pairs(checklist_of(before), checklist_of(after))
    order = {name: n for n, name in enumerate(now)}
    changes = []
    for old, new in pairs:
        item = new or old
        first, second = was[old.id] if old else "", now[new.id] if new else ""
        if item is not None and first != second:
            changes.append(ItemChange(item=item.id, title=item.title, was=first, now=second))
    return tuple(sorted(changes, key=lambda one: order.get(one.item, len(order))))


def text_of(again: Again) -> str:
    """What changed for one trainee, as lines."""
    who = again.after["attempt"]["trainee"]
    old, new = again.before["totals"], again.after["totals"]
    lines = [
        f"{again.name}{f' ({who})' if who else ''}: {_points(old)} -> {_points(new)}; "
        f"{plural(len(again.changes), 'item')} changed"
    ]
    for change in again.changes:
        if not change.was:
            lines.append(f"  {change.title}: new on the list, {change.now}")
        elif not change.now:
            lines.append(f"  {change.title}: no longer on the list (was {change.was})")
        else:
            lines.append(f"  {change.title}: {change.was} -> {change.now}")
    for review in again.lost:
        lines.append(
            f"  the correction of {review.item} by {review.who} no longer holds: something else "
            "is asked now, or nothing. Look at it again."
        )
    return "\n".join(lines)


def _points(totals: Document) -> str:
    return f"{totals['points']} of {totals['points_possible']} points"
