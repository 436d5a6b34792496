"""The recording as a page refers to it: by a relative path, or embedded.

Decides: that a page never points to another machine. A path stays relative and is percent-encoded;
a small file may be put into the page itself.
Conventions: `LIMIT` bytes is the largest file embedded.
Public: LIMIT, beside, embedded.
"""

from __future__ import annotations

import base64
from pathlib import Path, PurePosixPath
from urllib.parse import quote

from walkgrade.errors import InputError

LIMIT = 25_000_000

_TYPES = {
    ".flac": "audio/flac",
    ".m4a": "audio/mp4",
    ".mp3": "audio/mpeg",
    ".mp4": "audio/mp4",
    ".oga": "audio/ogg",
    ".ogg": "audio/ogg",
    ".opus": "audio/ogg",
    ".wav": "audio/wav",
    ".webm": "audio/webm",
}


def beside(path: str) -> str:
    """A relative path as a link that cannot leave the page's own folders.

    >>> beside("runs/tape 1.wav"), beside("javascript:alert(1)")
    ('./runs/tape%201.wav', './javascript%3Aalert%281%29')

    Raises
    ------
    InputError ``I66`` for an absolute path, one with a drive or with ``..`` above the page.
    """
    given = path.replace("\\", "/")
    parts = PurePosixPath(given).parts
    if not parts or given.startswith("/") or ".." in parts or given[1:3] == ":/":
        raise InputError(
            "I66",
            f"The recording {path!r} is not below the folder of the page.",
            "Give a path relative to the page, or embed the recording.",
        )
    return "./" + "/".join(quote(part, safe="") for part in parts if part != ".")


def embedded(path: Path, *, limit: int = LIMIT) -> str:
    """The file as a ``data:`` address.

    Raises
    ------
    InputError ``I65`` for a file that cannot be read, is over `limit` bytes, or is of no kind that
    browsers play.
    """
    kind = _TYPES.get(path.suffix.lower())
    try:
        size = path.stat().st_size
        if kind is None or size > limit:
            what = f"{size:,} bytes" if kind else f"a {path.suffix or 'nameless'} file"
            raise InputError(
                "I65",
                f"The recording {path.name} ({what}) cannot be put into the page; allowed are "
                f"{', '.join(sorted(_TYPES))} up to {limit:,} bytes.",
                "Keep the recording beside the page and link to it.",
            )
        data = base64.b64encode(path.read_bytes()).decode("ascii")
    except OSError as error:
        raise InputError(
            "I65",
            f"The recording {path.name} could not be read: {error.strerror or error}.",
            "Check the path, or make the page without sound.",
        ) from error
    return f"data:{kind};base64,{data}"
