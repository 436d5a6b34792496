"""A process beside the recording that hears what is there already.

Decides: how that process is started, told and ended, so that it disturbs neither the recording nor
Ctrl-C, and never outlives the program that started it.
Conventions: it is told in lines, as `walkgrade.speech.ahead` says. Nothing here fails: whatever
goes wrong with it, grading hears the recording itself.
Public: `Beside`, `KEPT`, `REFUSED`.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from threading import Thread
from types import TracebackType
from typing import Any

import walkgrade
from walkgrade.speech.ahead import GRACE_S, Order

KEPT, REFUSED = "kept", "refused"
SILENCE_S = 120.0
"""So long without a sign of life after the stop, and the process counts as hung."""

PROGRAM = ("-P", "-m", "walkgrade.speech.ahead")
"""-P: nothing is imported from the folder we are in."""


class Beside:
    """The process, running; use it as a context.

    Parameters
    ----------
    order : what it shall hear.

    `said`: what it told at its end; empty until then.
    """

    def __init__(self, order: Order) -> None:
        self._news: queue.SimpleQueue[dict[str, Any] | None] = queue.SimpleQueue()
        self._job: subprocess.Popen[str] | None = None
        self.said: dict[str, Any] = {}
        with contextlib.suppress(OSError):
            self._job = _start()
            Thread(target=self._take, daemon=True).start()
            self._say(order.line())

    def __enter__(self) -> Beside:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End the process: by closing its input, and by force when it does not listen."""
        job = self._job
        if job is None:
            return
        with contextlib.suppress(OSError):
            if job.stdin is not None:
                job.stdin.close()
        try:
            job.wait(timeout=1 if kind is not None else GRACE_S + 1)
        except subprocess.TimeoutExpired:
            job.kill()
            job.wait()

    def finish(self, progress: Callable[[int, int], None]) -> str:
        """Say that the recording is whole and wait for the words.

        Parameters
        ----------
        progress : called with ms heard and ms in all.

        Returns
        -------
        `KEPT` when the words lie in the recognition cache, `REFUSED` when recording or model cannot
        be used (grading will say why), else what went wrong.
        """
        if self._job is None:
            return "it could not be started"
        self._say("stop")
        while True:
            try:
                news = self._news.get(timeout=SILENCE_S)
            except queue.Empty:
                self._job.kill()
                return "it hung"
            if news is None:
                return "it ended too early"
            if "end" in news:
                self.said = news
                return str(news["end"])
            if news.get("of"):
                progress(int(news["heard"]), int(news["of"]))

    def _say(self, line: str) -> None:
        """One line; a process that has ended is found out by `finish`."""
        job = self._job
        if job is not None and job.stdin is not None:
            with contextlib.suppress(OSError):
                job.stdin.write(line + "\n")
                job.stdin.flush()

    def _take(self) -> None:
        """Take in what it says until it ends; for a thread of its own."""
        job = self._job
        if job is not None and job.stdout is not None:
            with job.stdout as lines, contextlib.suppress(ValueError, OSError):
                for line in lines:
                    self._news.put(json.loads(line))
        self._news.put(None)


def _start() -> subprocess.Popen[str]:
    # The same program text as ours, wherever it lies.
    ours = str(Path(walkgrade.__file__).parent.parent)
    paths = [ours, *filter(None, [os.environ.get("PYTHONPATH")])]
    return subprocess.Popen(
        [sys.executable, *PROGRAM],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        env=os.environ | {"PYTHONPATH": os.pathsep.join(paths), "PYTHONIOENCODING": "utf-8"},
        **_apart(),
    )


if sys.platform == "win32":

    def _apart() -> dict[str, Any]:
        """Out of reach of Ctrl-C, and behind the recording when both want to compute."""
        return {
            "creationflags": subprocess.CREATE_NEW_PROCESS_GROUP
            | subprocess.CREATE_NO_WINDOW
            | subprocess.BELOW_NORMAL_PRIORITY_CLASS
        }

else:

    def _apart() -> dict[str, Any]:
        """Out of reach of Ctrl-C; it lowers its priority itself."""
        return {"start_new_session": True}
