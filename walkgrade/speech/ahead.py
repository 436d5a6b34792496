"""Hearing a recording while it grows; run as a process of its own, beside the one that records.

Decides: when a growing file is heard again, and that whatever goes wrong here ends only this
process.
Conventions: the first line of standard input is an `Order` as JSON; the line ``stop`` says that
the file is whole; the end of the input that whoever asked is gone, and with it the reason to go
on. On standard output, one JSON object a line: after ``stop`` ``{"heard": ms, "of": ms}`` on the
way (``of`` 0: just alive), at the end ``{"end": ..., "decoded": n, "remembered": n}``, in chunks of
the last pass. ``end`` is ``kept``, or ``refused`` (recording or model cannot be used; grading says
why), or what broke.
Nothing is kept of a file that still grows; the last pass is that of `listen` and keeps its result.
Public: `Order`, `follow`, `STEP_S`.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TextIO

from walkgrade.errors import WalkgradeError
from walkgrade.speech.listen import listen
from walkgrade.speech.memory import Memory

STEP_S = 5
"""New sound that is worth another pass."""

FIRST_S = 2
"""Sound before the first pass, which loads the engine."""

LOOK_S = 0.25
GRACE_S = 5
"""How long work in the engine may go on after the one who asked is gone."""

NICE = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What to hear and how; see `listen`. `bytes_a_second`: by how much the file grows."""

    path: str
    bytes_a_second: int
    model: str
    device: str
    cache_dir: str
    terms: tuple[str, ...] = ()

    def line(self) -> str:
        """The order as one line."""
        return json.dumps(asdict(self))


def order_of(line: str) -> Order:
    """The order that `Order.line` wrote."""
    data = json.loads(line)
    return Order(**{**data, "terms": tuple(data["terms"])})


class Stopped(Exception):  # noqa: N818 - a word from outside, not a fault
    """The file is whole: what is under way in it is worth less than the last pass."""


class Gone(Exception):  # noqa: N818 - the same
    """Whoever asked is not there any more."""


class Control:
    """What the other side has said so far."""

    def __init__(self, words: TextIO) -> None:
        self._words = words
        self._news = threading.Event()
        self._stopped = self._gone = False
        self.last = False

    def listen(self) -> None:
        """Take in lines until there are no more; for a thread of its own."""
        for line in self._words:
            if line.strip() == "stop":
                self._stopped = True
                self._news.set()
        self._gone = True
        self._news.set()
        threading.Event().wait(GRACE_S)
        os._exit(1)  # the engine did not come back in time

    def check(self) -> None:
        """Raise what there is to know before new work begins."""
        if self._gone:
            raise Gone
        if self._stopped and not self.last:
            raise Stopped

    def wait(self, seconds: float) -> None:
        """Wait so long, or until there is news."""
        self._news.wait(seconds)


def follow(order: Order, memory: Memory, control: Control) -> None:
    """Hear the file again and again while it grows; ends by what `control` raises."""
    heard = (FIRST_S - STEP_S) * order.bytes_a_second
    while True:
        control.check()
        size = _size(order.path)
        if size - heard < STEP_S * order.bytes_a_second:
            control.wait(LOOK_S)
            continue
        heard = size
        try:
            _listen(order, memory, growing=True)
        except WalkgradeError:
            continue  # no sound or no words yet; the last pass tells for good


def _size(path: str) -> int:
    try:
        return os.path.getsize(path)
    except OSError:
        return 0  # the recorder has not made it yet


def _listen(
    order: Order,
    memory: Memory,
    *,
    growing: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> None:
    listen(
        Path(order.path),
        model=order.model,
        device=order.device,
        cache_dir=order.cache_dir,
        terms=order.terms,
        memory=memory,
        growing=growing,
        progress=progress,
    )


def _finish(order: Order, memory: Memory, control: Control, tell: Callable[..., None]) -> str:
    """The last pass, over the whole file."""
    control.last = True
    memory.forget_counts()

    def alive() -> None:
        control.check()
        tell(heard=0, of=0)

    memory.before = alive
    try:
        _listen(order, memory, progress=lambda done, total: tell(heard=done, of=total))
    except WalkgradeError:
        return "refused"
    return "kept"


def _run(words: TextIO, tell: Callable[..., None]) -> None:
    order = order_of(words.readline())
    control = Control(words)
    threading.Thread(target=control.listen, daemon=True).start()
    memory = Memory(before=control.check)
    try:
        follow(order, memory, control)
    except Stopped:
        end = _finish(order, memory, control, tell)
        decoded, remembered = memory.counts()
        tell(end=end, decoded=decoded, remembered=remembered)


def _tell(**news: object) -> None:
    sys.stdout.write(json.dumps(news) + "\n")
    sys.stdout.flush()


def main() -> int:
    """The process: exit code 0 when it did what it was told."""
    if hasattr(os, "nice"):
        os.nice(NICE)  # recording comes first
    try:
        _run(sys.stdin, _tell)
    except Gone:
        return 1
    except Exception as error:
        _tell(end=f"{type(error).__name__}: {error}")
        return 1
    return 0


if __name__ == "__main__":
    # Not sys.exit: a thread still waits for input, which an orderly end of Python cannot bear.
    os._exit(main())
