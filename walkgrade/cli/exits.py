"""How a command ends: exit codes, and what a person reads when something went wrong.

Decides: the exit code of every ending, and that nobody is shown a traceback.
Conventions: results go to stdout, everything else to stderr; a fault is ``[code] message`` and
the way out.
Public: the codes, `say`, `report`, `joint`, `guarded`.
"""

from __future__ import annotations

import errno
import os
import platform
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path

from walkgrade import __version__
from walkgrade.errors import OutputError, WalkgradeError

OK = 0
SOME_FAILED = 1
BAD_INPUT = 2
NOT_WRITTEN = 3
CRASHED = 70
INTERRUPTED = 130

MEANINGS = (
    (OK, "done"),
    (SOME_FAILED, "some of several files failed; the others are done"),
    (BAD_INPUT, "bad input: nothing was graded"),
    (NOT_WRITTEN, "a result could not be written"),
    (CRASHED, "a fault in walkgrade itself; a crash file was written"),
    (INTERRUPTED, "stopped with Ctrl-C"),
)


def say(text: str) -> None:
    """One message for the person, on stderr."""
    print(text, file=sys.stderr, flush=True)


def report(error: WalkgradeError, about: str = "") -> int:
    """Show a fault (of the file `about`) on stderr; return its exit code."""
    before = f"{about}: " if about and about not in error.message else ""
    say(f"[{error.code}] {before}{error.message}")
    if error.way_out:
        say(f"      {error.way_out}")
    return error.exit_status


def failed(error: Exception, about: str) -> int:
    """Report why the file `about` failed, a fault of the program included; return the code."""
    if isinstance(error, WalkgradeError):
        return report(error, about)
    return _crashed(error, [about])


def joint(failures: Sequence[int], files: int) -> int:
    """The exit code of a job on `files` files of which some failed with the given codes."""
    if not failures:
        return OK
    return max(failures) if len(failures) == files else SOME_FAILED


def guarded(command: Callable[[], int], words: Sequence[str]) -> int:
    """Run `command`; turn whatever escapes it into a message and an exit code.

    Parameters
    ----------
    command : does the work and returns an exit code.
    words : the words of the command line, for the crash file.
    """
    try:
        return command()
    except WalkgradeError as error:
        return report(error)
    except KeyboardInterrupt:
        say("Stopped. Files already written are whole and stay.")
        return INTERRUPTED
    except BrokenPipeError:
        # The reader of our output has gone; stop the interpreter from complaining at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except Exception as error:
        if isinstance(error, OSError) and error.errno == errno.ENOSPC:
            return report(
                OutputError("O02", "No space left on the disk.", "Free some space and try again.")
            )
        return _crashed(error, words)


def state_folder() -> Path:
    """Where crash files go: the platform's folder for logs of a user's programs."""
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Logs" / "walkgrade"
    if os.name == "nt":
        local = os.environ.get("LOCALAPPDATA")
        return (Path(local) if local else Path.home() / "AppData" / "Local") / "walkgrade" / "logs"
    state = os.environ.get("XDG_STATE_HOME")
    return (Path(state) if state else Path.home() / ".local" / "state") / "walkgrade"


def _crashed(error: Exception, words: Sequence[str]) -> int:
    text = "\n".join(
        (
            f"walkgrade {__version__}, Python {platform.python_version()}, {platform.platform()}",
            f"command: {' '.join(words)}",
            "",
            "".join(traceback.format_exception(error)),
        )
    )
    say(f"[X01] walkgrade met a fault of its own: {type(error).__name__}: {error}")
    place = _keep(text)
    if place:
        say(f"      Details are in {place}; please send it along when you report this.")
        say("      It holds the command line and file names, no sound and no transcript.")
    else:
        say(text)
    return CRASHED


def _keep(text: str) -> Path | None:
    name = time.strftime("crash-%Y%m%d-%H%M%S.txt")
    for folder in (state_folder(), Path(tempfile.gettempdir())):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8")
        except OSError:
            continue
        return folder / name
    return None
