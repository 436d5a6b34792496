"""What a graded run leaves behind: files in the output folder.

Decides: file names, how a page finds the recording, and that one file that cannot be written does
not take the others along.
Conventions: every file is named after the run's own file, and is written whole or not at all.
Public: `KINDS`, `DEFAULT_KINDS`, `SOUND`, `Delivery`, `distinct_names`.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.errors import InputError, WalkgradeError

if TYPE_CHECKING:
    from walkgrade.workflow import Graded

DEFAULT_KINDS = ("html", "json")
SOUND = ("auto", "embed", "link", "none")


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Where results go: `folder`, kinds of file, and how pages come by the sound (`SOUND`)."""

    folder: Path
    kinds: tuple[str, ...]
    sound: str = "auto"

    def write(
        self, graded: Graded, run: Path, name: str
    ) -> tuple[list[Path], list[WalkgradeError]]:
        """Write the results of `run`; return the files written and the faults met."""
        written: list[Path] = []
        faults: list[WalkgradeError] = []
        for kind in self.kinds:
            ending, writer, _ = KINDS[kind]
            place = self.folder / f"{name}{ending}"
            try:
                writer(self, graded, run, place)
            except WalkgradeError as error:
                faults.append(error)
            else:
                written.append(place)
        return written, faults

    def sound_of(self, graded: Graded, run: Path) -> tuple[str, bool]:
        """How a page refers to the recording: (address or nothing, whether it is embedded).

        ``auto`` links to a recording below the page's folder, embeds any other that is small
        enough, and goes without sound otherwise.

        Raises
        ------
        InputError I65, I66 : ``embed`` or ``link`` was asked for and cannot be done.
        """
        from walkgrade.reports.sound import beside, embedded

        if self.sound == "none" or not graded.attempt.audio:
            return "", False
        below = run.resolve().is_relative_to(self.folder.resolve())
        if self.sound == "link" or (self.sound == "auto" and below):
            return beside(os.path.relpath(run.resolve(), self.folder.resolve())), False
        try:
            return embedded(run), True
        except InputError:
            if self.sound == "embed":
                raise
            return "", False


def _html(ask: Delivery, graded: Graded, run: Path, place: Path) -> None:
    from walkgrade.reports.page import write_page

    address, is_inside = ask.sound_of(graded, run)
    write_page(place, graded.document(), audio=address, embedded=is_inside)


def _json(ask: Delivery, graded: Graded, run: Path, place: Path) -> None:
    from walkgrade.reports.document import write_document

    write_document(place, graded.document())


def _csv(ask: Delivery, graded: Graded, run: Path, place: Path) -> None:
    from walkgrade.reports.tables import write_items_csv

    write_items_csv(place, graded.document())


def _words(ask: Delivery, graded: Graded, run: Path, place: Path) -> None:
    from walkgrade.speech.transcripts import write_transcript

    write_transcript(place, graded.transcript)


Writer = Callable[[Delivery, "Graded", Path, Path], None]

KINDS: dict[str, tuple[str, Writer, str]] = {
    "html": (".html", _html, "a page to read and to play the moments from"),
    "json": (".json", _json, "the grade document for programs"),
    "csv": (".csv", _csv, "one line an item, for a spreadsheet"),
    "srt": (".srt", _words, "the words as subtitles"),
    "words": (".words.json", _words, "the words with times and probabilities"),
}


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
