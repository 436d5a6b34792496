"""Hearing while recording, as `walkgrade record` asks for it.

Decides: when it is done, and what is said when it fails.
Public: `load`, `beside`, `finish`.
"""

from __future__ import annotations

import argparse
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.progress import meter

if TYPE_CHECKING:
    from walkgrade.practice.beside import Beside
    from walkgrade.workflow import Terms


def load(wanted: Terms) -> None:
    """Load what grading needs before the recording begins: a second then, none after the stop."""
    from walkgrade.ready import Ready

    Ready(wanted).join()


def beside(
    asked: argparse.Namespace, place: Path, rate: int, wanted: Terms
) -> AbstractContextManager[Beside | None]:
    """What hears the recording `place` while it grows by `rate` samples a second; None when that
    was not asked for."""
    if asked.no_grade or asked.hear_after:
        return nullcontext()
    from walkgrade.language.expected import expected_words
    from walkgrade.practice.beside import Beside
    from walkgrade.practice.recording import BYTES_A_SAMPLE
    from walkgrade.speech.ahead import Order
    from walkgrade.speech.places import cache_folder

    return Beside(
        Order(
            path=str(place.absolute()),
            bytes_a_second=rate * BYTES_A_SAMPLE,
            model=asked.model,
            device=asked.device,
            cache_dir=str(cache_folder(asked.cache).absolute()),
            terms=tuple(expected_words(wanted.checklist)),
        )
    )


def finish(hearing: Beside, place: Path) -> bool:
    """Let it hear the rest; True when the words are kept."""
    from walkgrade.practice.beside import KEPT, REFUSED

    with meter(f"listening to {place.name}") as tick:
        end = hearing.finish(tick)
    if end not in (KEPT, REFUSED):
        exits.say(f"[N43] Hearing while recording did not work ({end}); it is heard now.")
    return end == KEPT
