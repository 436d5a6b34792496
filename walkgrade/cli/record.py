"""`walkgrade record`: a run from the microphone to the disk, then graded.

Public: `add`.
"""

from __future__ import annotations

import argparse
import re
import shutil
import sys
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import ahead, exits, grade
from walkgrade.cli.given import terms
from walkgrade.cli.stopping import Stopper
from walkgrade.cli.words import DEFAULT_OUT, Commands, command, minutes
from walkgrade.files import ready_folder

if TYPE_CHECKING:
    from walkgrade.practice.recorder import Ending, Moment, Source
    from walkgrade.reports.document import Attempt
    from walkgrade.workflow import Terms

MOST_S = 180 * 60
PLAIN_EVERY_MS = 60_000
"""Without a terminal the clock is a line a minute."""

_EXAMPLES = """
walkgrade record
walkgrade record --trainee T-07 --profile yard-bus-air --budget 30
walkgrade record --devices
walkgrade record --device-input headset --max-minutes 45
walkgrade record --no-grade
walkgrade record --hear-after
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "record", _act, "record a run from the microphone, then grade it", _EXAMPLES
    )
    group = parser.add_argument_group("recording (Enter or Ctrl-C stops)")
    group.add_argument("--devices", action="store_true", help="list the microphones, and end")
    group.add_argument(
        "--device-input",
        default="",
        metavar="NAME",
        help="the microphone: its number, or its name or a part of it (default: the system's)",
    )
    group.add_argument(
        "--max-minutes",
        type=_most,
        default=60 * 60,
        metavar="MINUTES",
        help="stop by itself after so many minutes, up to 180 (default: 60)",
    )
    group.add_argument(
        "--name",
        type=_file_name,
        metavar="NAME",
        help="name of the recording and of its reports (default: run and the time)",
    )
    group.add_argument(
        "--no-grade", action="store_true", help="only record; the recording lies in --out"
    )
    group.add_argument(
        "--hear-after",
        action="store_true",
        help="recognise the speech only after the stop, not while recording (for a computer too "
        "slow for both)",
    )
    grade.add_options(parser)
    parser.set_defaults(taken_at="", corrections=None)


def _most(text: str) -> int:
    seconds = minutes(text)
    if seconds > MOST_S:
        raise argparse.ArgumentTypeError(f"{text} minutes is more than can be graded (180)")
    return seconds


def _file_name(text: str) -> str:
    if not re.fullmatch(r"[\w][\w .-]{0,99}", text):
        raise argparse.ArgumentTypeError(
            f"{text!r} is no file name; use letters, digits, '-', '_', '.' and blanks"
        )
    return text.removesuffix(".wav")


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.practice.microphone import Microphone, choose, devices

    found = devices()
    if asked.devices:
        for one in found:
            print(f"{one.number:>3}  {one.name}{'  (usual)' if one.usual else ''}")
        return exits.OK
    device = choose(found, asked.device_input)
    wanted = terms(asked)
    asked.out = asked.out or Path(DEFAULT_OUT)
    ready_folder(asked.out)
    _mend(asked.out)
    if not asked.no_grade:
        ahead.load(wanted)
    with Microphone(device) as source:
        return record_run(asked, source, wanted)


def record_run(asked: argparse.Namespace, source: Source, wanted: Terms) -> int:
    """Record from a running source, then grade unless only recording was asked for."""
    started = datetime.now().astimezone()
    place = _place(asked.out, asked.name or started.strftime("run-%Y%m%d-%H%M%S"))
    _say_before(asked, source, wanted, place)
    with ahead.beside(asked, place, source.rate, wanted) as hearing:
        ending = _recorded(asked, source, wanted, place)
        status = _say_after(ending, place)
        if asked.no_grade or ending.elapsed_ms == 0:
            return status
        asked.runs = [place]
        try:
            if hearing is not None and ahead.finish(hearing, place):
                asked.fresh = False  # it has just been heard
            graded = grade.grade_runs(asked, lambda run: _attempt(asked, started))
        except BaseException:
            exits.say(f"The recording is kept. Grade it with: walkgrade grade {place}")
            raise
    return graded or status


def _recorded(asked: argparse.Namespace, source: Source, wanted: Terms, place: Path) -> Ending:
    from walkgrade.practice.recorder import record
    from walkgrade.practice.recording import Recording

    face = _Face(budget_ms=wanted.settled()[0].budget_s * 1000)
    with Recording(place, source.rate) as recording, Stopper() as stop:
        ending = record(
            source, recording, stop=stop, show=face.show, most_ms=asked.max_minutes * 1000
        )
    face.end()
    return ending


def _attempt(asked: argparse.Namespace, started: datetime) -> Attempt:
    from walkgrade.reports.document import Attempt

    return Attempt(
        trainee=asked.trainee, group=asked.group, taken_at=started.isoformat(timespec="minutes")
    )


def _mend(folder: Path) -> None:
    """Make earlier recordings that were cut off whole, and say how to grade them."""
    from walkgrade.practice.recording import repair, unfinished
    from walkgrade.reports.wording import clock

    for path in unfinished(folder):
        left = repair(path)
        exits.say(
            f"[N42] An earlier recording was cut off: {path.name}, {clock(left.length_ms)} long. "
            "It is whole again."
        )
        exits.say(f"      Grade it with: walkgrade grade {path}")


def _place(folder: Path, name: str) -> Path:
    """A path in `folder` that nobody has taken yet."""
    place, number = folder / f"{name}.wav", 1
    while place.exists():
        number += 1
        place = folder / f"{name}-{number}.wav"
    return place


def _say_before(asked: argparse.Namespace, source: Source, wanted: Terms, place: Path) -> None:
    for caution in wanted.checklist.cautions:
        exits.say(f"Caution: {caution}")
    room = shutil.disk_usage(place.parent).free // (source.rate * 2)
    if room < asked.max_minutes:
        exits.say(f"[N40] The disk has room for {room // 60} minutes only.")
    exits.say(f"Microphone: {source.name}, {source.rate} Hz. Recording to {place}")
    exits.say("Enter or Ctrl-C stops. The clock starts with the first sound that arrives.")


def _say_after(ending: Ending, place: Path) -> int:
    """Tell how it ended; the exit code so far."""
    from walkgrade.reports.wording import clock

    if ending.lost:
        exits.say(f"[N41] The computer was too busy {ending.lost} times: short pieces are lost.")
    if ending.time_up:
        exits.say("The longest time (--max-minutes) is reached.")
    status = exits.OK
    if ending.fault:
        exits.report(ending.fault)
        status = exits.SOME_FAILED if ending.elapsed_ms else ending.fault.exit_status
    exits.say(f"Recorded {clock(ending.elapsed_ms)}: {place}")
    return status


class _Face:
    """Draws the clock on stderr: over itself on a terminal, else a line a minute."""

    def __init__(self, *, budget_ms: int) -> None:
        self._budget_ms = budget_ms
        self._live = sys.stderr.isatty()
        self._next = 0
        self._tip = ""

    def show(self, moment: Moment) -> None:
        """Draw `moment`."""
        from walkgrade.practice.clock_face import advice, face

        if self._live:
            width = shutil.get_terminal_size().columns - 1
            line = face(moment, self._budget_ms, width)
            print(f"\r{line:<{width}}", end="", file=sys.stderr, flush=True)
            return
        tip = advice(moment)
        if moment.elapsed_ms >= self._next or tip not in ("", self._tip):
            exits.say(face(moment, self._budget_ms, 120))
            self._next = (moment.elapsed_ms // PLAIN_EVERY_MS + 1) * PLAIN_EVERY_MS
        self._tip = tip

    def end(self) -> None:
        """Leave the last clock standing."""
        if self._live:
            exits.say("")
