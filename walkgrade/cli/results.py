"""What a graded run leaves behind: files in the output folder.

Decides: file names, and that one file that cannot be written does not take the others along.
Conventions: every file is named after the run's own file. Written whole or not at all.
Public: `KINDS`, `DEFAULT_KINDS`, `kinds`, `write`, `distinct_names`.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.errors import OutputError
from walkgrade.files import write_text

if TYPE_CHECKING:
    from walkgrade.workflow import Graded

DEFAULT_KINDS = ("html", "json")


def _html(graded: Graded, place: Path) -> None:
    from walkgrade.reports.page import page

    write_text(place, page(graded.document()))


def _json(graded: Graded, place: Path) -> None:
    write_text(place, json.dumps(graded.document(), ensure_ascii=False, indent=1) + "\n")


def _csv(graded: Graded, place: Path) -> None:
    from walkgrade.reports.tables import items_csv

    write_text(place, items_csv(graded.document()))


def _words(graded: Graded, place: Path) -> None:
    from walkgrade.speech.transcripts import write_transcript

    write_transcript(place, graded.transcript)


KINDS: dict[str, tuple[str, Callable[[Graded, Path], None], str]] = {
    "html": (".html", _html, "a page to read and to play the moments from"),
    "json": (".json", _json, "the grade document for programs"),
    "csv": (".csv", _csv, "one line an item, for a spreadsheet"),
    "srt": (".srt", _words, "the words as subtitles"),
    "words": (".words.json", _words, "the words with times and probabilities"),
}


def kinds(text: str) -> tuple[str, ...]:
    """Kinds of file from words such as ``html,csv``; ``none`` for no file."""
    asked = tuple(word.strip() for word in text.split(",") if word.strip())
    if asked == ("none",):
        return ()
    unknown = [word for word in asked if word not in KINDS]
    if unknown or not asked:
        raise argparse.ArgumentTypeError(
            f"{', '.join(unknown) or 'nothing'!r} is not a kind of file; "
            f"known are {', '.join(KINDS)} and none"
        )
    return tuple(dict.fromkeys(asked))


def distinct_names(paths: Iterable[Path]) -> dict[Path, str]:
    """A name for the results of each path: its stem, with its folder's name where stems repeat."""
    paths = tuple(paths)
    count = Counter(path.stem for path in paths)
    names: dict[Path, str] = {}
    for path in paths:
        name = path.stem if count[path.stem] == 1 else f"{path.resolve().parent.name}-{path.stem}"
        number = 1
        while (name if number == 1 else f"{name}-{number}") in names.values():
            number += 1
        names[path] = name if number == 1 else f"{name}-{number}"
    return names


def write(
    graded: Graded, folder: Path, name: str, asked: Iterable[str]
) -> tuple[list[Path], list[OutputError]]:
    """Write the kinds asked for; return the files written and the faults met."""
    written: list[Path] = []
    faults: list[OutputError] = []
    for kind in asked:
        ending, writer, _ = KINDS[kind]
        place = folder / f"{name}{ending}"
        try:
            writer(graded, place)
        except OutputError as error:
            faults.append(error)
        else:
            written.append(place)
    return written, faults
