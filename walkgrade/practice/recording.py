"""A sound file that can be graded at every instant while it is being written.

Decides: how a recording lies on the disk, so that a crash, a kill or a power cut costs no more than
what had not arrived yet.
Conventions: RIFF/WAVE ("Multimedia Programming Interface and Data Specifications 1.0", IBM and
Microsoft, 1991, chapter 3), 16-bit mono. While it grows the header says "length unknown" (all
ones) and bytes are only ever added at the end; every block goes to the system unbuffered, and every
`SYNC_MS` of sound to the disk itself. Lengths are filled in at the end, or by `repair` later.
The chunk ISFT names this program, so that nobody else's file is ever touched.
Public: `Recording`, `Left`, `unfinished`, `repair`, `BYTES_A_SAMPLE`, `SYNC_MS`.
"""

from __future__ import annotations

import errno
import os
import struct
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import BinaryIO

from walkgrade.errors import OutputError
from walkgrade.files import FULL

BYTES_A_SAMPLE = 2
SYNC_MS = 400

_UNKNOWN = 0xFFFFFFFF
_MAKER = b"walkgrade\0"
_INFO = b"INFOISFT" + struct.pack("<I", len(_MAKER)) + _MAKER
_SHAPE = struct.Struct("<4sI4s4sIHHIIHH4sI")
_HEAD = _SHAPE.size + len(_INFO) + 8
_LOCKED = (errno.EACCES, errno.EAGAIN)


def _header(rate: int, size: int) -> bytes:
    """Everything before the first sample; `size` in bytes of sound, `_UNKNOWN` while it grows."""
    whole = _UNKNOWN if size == _UNKNOWN else _HEAD - 8 + size
    return (
        _SHAPE.pack(
            b"RIFF", whole, b"WAVE",
            b"fmt ", 16, 1, 1, rate, rate * BYTES_A_SAMPLE, BYTES_A_SAMPLE, 8 * BYTES_A_SAMPLE,
            b"LIST", len(_INFO),
        )
        + _INFO
        + struct.pack("<4sI", b"data", size)
    )  # fmt: skip


class Recording:
    """A new recording at `path`, open for samples.

    Parameters
    ----------
    path : must not exist yet.
    rate : samples a second, 8 000 to 192 000.

    Raises
    ------
    OutputError O40 : the disk is full. O41 : the file cannot be made or written.
    """

    def __init__(self, path: Path, rate: int) -> None:
        self.path = path
        self.rate = rate
        self._written = 0
        self._unsynced = 0
        try:
            self._file: BinaryIO = open(path, "xb", buffering=0)  # noqa: SIM115 (kept open)
        except OSError as error:
            raise _fault(path, error) from error
        try:
            self._begin()
        except OSError as error:
            self._file.close()
            path.unlink(missing_ok=True)
            raise _fault(path, error) from error

    def _begin(self) -> None:
        _lock(self._file)
        self._append(_header(self.rate, _UNKNOWN))
        self._written = 0
        os.fsync(self._file.fileno())
        _sync_folder(self.path.parent)

    @property
    def samples(self) -> int:
        """Whole samples written so far."""
        return self._written // BYTES_A_SAMPLE

    @property
    def elapsed_ms(self) -> int:
        """Length so far."""
        return self.samples * 1000 // self.rate

    def add(self, block: bytes) -> None:
        """Put samples (16-bit little-endian) at the end.

        Raises
        ------
        OutputError O40 : the disk is full. O41 : it cannot be written. What was there stays.
        """
        try:
            self._append(block)
            if self._unsynced * 1000 >= SYNC_MS * self.rate * BYTES_A_SAMPLE:
                os.fsync(self._file.fileno())
                self._unsynced = 0
        except OSError as error:
            raise _fault(self.path, error) from error

    def close(self) -> None:
        """Fill in the lengths; needs no further space on the disk.

        Raises
        ------
        OutputError O41 : the header cannot be written; the file can be graded all the same.
        """
        if self._file.closed:
            return
        try:
            with self._file:
                _settle(self._file, self.rate)
        except OSError as error:
            raise _fault(self.path, error) from error

    def __enter__(self) -> Recording:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def _append(self, data: bytes) -> None:
        rest = memoryview(data)
        while rest:
            # An unbuffered file may take a part only; the next try then tells why.
            count = self._file.write(rest)
            self._written += count
            self._unsynced += count
            rest = rest[count:]


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A recording that was cut off; `length_ms` is what it holds."""

    path: Path
    length_ms: int


def unfinished(folder: Path) -> Iterator[Path]:
    """Recordings of this program in `folder` that were cut off, by name; none still growing."""
    for path in sorted(folder.glob("*.wav")):
        if path.is_file() and _rate_of(path):
            yield path


def repair(path: Path) -> Left:
    """Fill in the lengths of a recording that was cut off; not a single sample is changed.

    Raises
    ------
    OutputError O41 : the file cannot be written.
    """
    rate = _rate_of(path)
    if not rate:
        raise ValueError(f"{path.name} is no recording that was cut off")
    try:
        with open(path, "r+b", buffering=0) as file:
            size = _settle(file, rate)
    except OSError as error:
        raise _fault(path, error) from error
    return Left(path=path, length_ms=size // BYTES_A_SAMPLE * 1000 // rate)


def _settle(file: BinaryIO, rate: int) -> int:
    """Cut a half sample off, write the true lengths; bytes of sound."""
    size = max(0, os.fstat(file.fileno()).st_size - _HEAD)
    size -= size % BYTES_A_SAMPLE
    file.truncate(_HEAD + size)
    file.seek(0)
    file.write(_header(rate, size))
    os.fsync(file.fileno())
    return size


def _rate_of(path: Path) -> int:
    """Samples a second of a recording of ours that says "length unknown"; 0 for any other file."""
    try:
        with open(path, "rb", buffering=0) as file:
            head = file.read(_HEAD)
            if len(head) < _HEAD or not _is_free(file):
                return 0
    except OSError:
        return 0
    rate = int(_SHAPE.unpack(head[: _SHAPE.size])[7])
    return rate if head == _header(rate, _UNKNOWN) else 0


if sys.platform == "win32":

    def _lock(file: BinaryIO) -> None:
        """Nothing to do: see `_is_free`."""

    def _is_free(file: BinaryIO) -> bool:
        """False while another process writes the file: it grows several times a second."""
        import time

        return time.time() - os.fstat(file.fileno()).st_mtime > 10

else:
    import fcntl

    def _lock(file: BinaryIO) -> None:
        """Mark the file as being written; the mark goes away with the process, however it ends."""
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _is_free(file: BinaryIO) -> bool:
        """False while another process writes the file."""
        try:
            fcntl.flock(file.fileno(), fcntl.LOCK_SH | fcntl.LOCK_NB)
        except OSError as error:
            return error.errno not in _LOCKED
        return True


def _sync_folder(folder: Path) -> None:
    """Make the new name itself survive a power cut, where folders can be synced."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        return  # some network folders refuse; the sound itself is synced
    finally:
        os.close(handle)


def _fault(path: Path, error: OSError) -> OutputError:
    if error.errno in FULL:
        return OutputError(
            "O40",
            f"No space left on the disk for the recording {path}.",
            "What was recorded until then is kept. Free some space, or choose another --out.",
        )
    return OutputError(
        "O41",
        f"The recording {path} cannot be written: {error.strerror or error}.",
        "What was recorded until then is kept. Choose another folder with --out.",
    )
