"""How a person ends a recording: Enter, or Ctrl-C once.

Decides: that the first Ctrl-C ends the recording and nothing else; after that it interrupts again.
Conventions: the keyboard is only looked at when somebody sits at it, never waited for.
Public: `Stopper`.
"""

from __future__ import annotations

import signal
import sys
from types import FrameType, TracebackType
from typing import Any


class Stopper:
    """Asked over and over whether to stop; use it as a context, in the main thread."""

    def __init__(self) -> None:
        self._asked = False
        self._before: Any = None

    def __enter__(self) -> Stopper:
        self._before = signal.signal(signal.SIGINT, self._interrupted)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        signal.signal(signal.SIGINT, self._before)

    def __call__(self) -> bool:
        """True once Enter or Ctrl-C was pressed."""
        self._asked = self._asked or _enter_pressed()
        return self._asked

    def _interrupted(self, number: int, frame: FrameType | None) -> None:
        self._asked = True


if sys.platform == "win32":

    def _enter_pressed() -> bool:
        import msvcrt

        while sys.stdin.isatty() and msvcrt.kbhit():
            if msvcrt.getwch() in "\r\n":
                return True
        return False

else:

    def _enter_pressed() -> bool:
        import select

        if not sys.stdin or not sys.stdin.isatty():
            return False
        ready, _, _ = select.select([sys.stdin], [], [], 0)
        # The line is taken, so that it is not typed into whatever runs next.
        return bool(ready) and sys.stdin.readline() is not None
