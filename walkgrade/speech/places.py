"""Where the speech room keeps its own files, and how it writes them.

Decides: the cache folder, and that a file in it is whole or absent.
Conventions: an explicit folder wins, then the variable WALKGRADE_CACHE, then the platform's
cache folder. Writing goes to a neighbour file first and is renamed into place.
Public: `cache_folder`, `write_whole`, `digest_of`.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

from walkgrade.errors import OutputError

CACHE_VARIABLE = "WALKGRADE_CACHE"


def cache_folder(given: str | Path | None = None) -> Path:
    """The folder for joined models, recognised speech and unfinished work (may not exist yet)."""
    if given:
        return Path(given)
    if os.environ.get(CACHE_VARIABLE):
        return Path(os.environ[CACHE_VARIABLE])
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "walkgrade"
    if os.name == "nt":
        local = os.environ.get("LOCALAPPDATA")
        return (Path(local) if local else Path.home() / "AppData" / "Local") / "walkgrade" / "cache"
    xdg = os.environ.get("XDG_CACHE_HOME")
    return (Path(xdg) if xdg else Path.home() / ".cache") / "walkgrade"


def write_whole(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """Write `path` through a neighbour file and a rename, so a reader never sees half of it.

    Raises
    ------
    OutputError O20 : the folder cannot be made or written (full disk, no permission).
    """
    neighbour: str | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, neighbour = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as out:
            write(out)
        os.replace(neighbour, path)
        neighbour = None
    except OSError as error:
        raise OutputError(
            "O20",
            f"cannot write {path}: {error.strerror or error}.",
            "Free some space or choose a folder you may write to "
            f"(for the cache: set {CACHE_VARIABLE}).",
        ) from error
    finally:
        if neighbour is not None and os.path.exists(neighbour):
            os.unlink(neighbour)


def digest_of(path: Path) -> str:
    """The sha256 of a file as 64 hex digits, read in blocks."""
    with open(path, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
