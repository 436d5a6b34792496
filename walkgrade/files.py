"""How results reach the disk: whole or not at all.

Decides: that a reader never meets half a result, and how a failed write reads to the user.
Conventions: text is UTF-8 with ``\\n`` line ends; a neighbour file is written and renamed into
place, so an older result stays until the new one is complete.
Public: `ready_folder`, `write_text`, `write_bytes`.
"""

from __future__ import annotations

import errno
import os
import tempfile
from pathlib import Path

from walkgrade.errors import OutputError

FULL = (errno.ENOSPC, errno.EDQUOT)


def ready_folder(folder: Path) -> Path:
    """Make `folder` and prove that it can be written, before any long work starts.

    Raises
    ------
    OutputError O01 : it cannot be made or written. O02 : the disk is full.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(prefix=".walkgrade-", dir=folder):
            pass
    except OSError as error:
        raise _fault(folder, error) from error
    return folder


def write_bytes(path: Path, data: bytes) -> Path:
    """Write `data` to `path` as a whole; the folder is made if it is not there.

    Raises
    ------
    OutputError O01 : folder or file cannot be written. O02 : the disk is full.
    """
    neighbour: str | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, neighbour = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(neighbour, 0o666 & ~_mask())
        os.replace(neighbour, path)
        neighbour = None
    except OSError as error:
        raise _fault(path, error) from error
    finally:
        if neighbour is not None:
            _remove(neighbour)
    return path


def write_text(path: Path, text: str) -> Path:
    """`write_bytes` for text."""
    return write_bytes(path, text.encode("utf-8"))


def _mask() -> int:
    """The process's file mask; reading it means setting it."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _remove(path: str) -> None:
    try:
        os.unlink(path)
    except OSError:
        return  # the write fault is the one to report


def _fault(path: Path, error: OSError) -> OutputError:
    if error.errno in FULL:
        return OutputError(
            "O02",
            f"No space left on the disk for {path}.",
            "Free some space, or choose another folder with --out, and run the same command again.",
        )
    return OutputError(
        "O01",
        f"Cannot write {path}: {error.strerror or error}.",
        "Choose a folder you may write to with --out.",
    )
