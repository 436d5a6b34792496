"""Loading and reading beside the recogniser at work.

Decides: what is done of grading before the last word is heard.
Public: `Ready`.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from queue import SimpleQueue
from threading import Thread
from typing import TYPE_CHECKING

from walkgrade.errors import WalkgradeError
from walkgrade.speech.records import Segment, Transcript, Word

if TYPE_CHECKING:
    from walkgrade.workflow import Terms


class Ready:
    """Loads what grading needs beside the recogniser at work, and reads what is heard already, so
    that the report follows at once. Whatever is wrong is said by grading itself.

    `join` it before grading: what has not begun to be read by then is left to grading.
    """

    def __init__(self, terms: Terms) -> None:
        self._news: SimpleQueue[Transcript | None] = SimpleQueue()
        self._thread = Thread(target=self._work, args=(terms,), daemon=True)
        self._thread.start()

    def heard(self, transcript: Transcript) -> None:
        """Take in the words heard so far."""
        self._news.put(transcript)

    def join(self) -> None:
        """Wait until nothing is under way."""
        self._news.put(None)
        self._thread.join()

    def _work(self, terms: Terms) -> None:
        with contextlib.suppress(WalkgradeError):
            read = _load(terms)
            while (news := self._latest()) is not None:
                read(news)

    def _latest(self) -> Transcript | None:
        news = self._news.get()
        while news is not None and not self._news.empty():
            news = self._news.get()
        return news


def _load(terms: Terms) -> Callable[[Transcript], object]:
    """What reads a transcript, everything loaded."""
    from walkgrade.checklists.applicable import applicable
    from walkgrade.language.read import read
    from walkgrade.trained import load_judge, load_readers

    word = Word(text="Ready.", start=0, end=1)
    one = Segment(id="s1", start=0, end=1, words=(word,))
    checklist, _ = terms.settled()
    fitted, reader = applicable(checklist, terms.profile), load_readers()
    read(Transcript(id="", segments=(one,), duration=1), fitted, reader)
    load_judge()
    return lambda transcript: read(transcript, fitted, reader)
