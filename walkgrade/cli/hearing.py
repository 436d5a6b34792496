"""The recogniser as the command line asks for it.

Decides: nothing; passes the options on and shows the progress.
Public: `listener`, `ENDINGS`.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli.progress import meter

if TYPE_CHECKING:
    from walkgrade.speech.recognise import SoFar
    from walkgrade.workflow import Heard, Listen

ENDINGS = (
    ".wav", ".flac", ".ogg", ".opus", ".oga", ".mp3", ".m4a", ".aac", ".mp4", ".webm", ".mka",
    ".amr", ".3gp", ".wma", ".aif", ".aiff", ".mov",
)  # fmt: skip


def listener(asked: argparse.Namespace, terms: Sequence[str] = ()) -> Listen:
    """A function from a sound file to its words, with the options of `asked`."""

    def listen(path: Path, so_far: SoFar | None = None) -> Heard:
        from walkgrade.speech.listen import listen as hear_sound

        with meter(f"listening to {path.name}") as tick:
            return hear_sound(
                path,
                model=asked.model,
                device=asked.device,
                cache_dir=asked.cache,
                progress=tick,
                so_far=so_far,
                terms=tuple(terms),
                fresh=asked.fresh,
                allow_hub=asked.allow_download,
            )

    return listen
