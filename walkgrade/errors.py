"""The one tree of errors, each with a stable code.

Decides: which faults a user can meet, and how they read.
Conventions: a message says what came, what was allowed, and the way out. Codes never change
meaning; docs/errors.md lists every one (a test holds the two together).
Public: WalkgradeError and its four branches; `Fault` for loaders that report all faults at once.
"""

from __future__ import annotations

from dataclasses import dataclass


class WalkgradeError(Exception):
    """A fault the user can mend.

    Parameters
    ----------
    code : stable code such as ``A03`` (letter: branch, number: fault).
    message : what came and what was allowed.
    way_out : what the user can do now.
    """

    exit_status = 2

    def __init__(self, code: str, message: str, way_out: str = "") -> None:
        super().__init__(code, message, way_out)
        self.code = code
        self.message = message
        self.way_out = way_out

    def __str__(self) -> str:
        tail = f" {self.way_out}" if self.way_out else ""
        return f"[{self.code}] {self.message}{tail}"


class InputError(WalkgradeError):
    """Command-line words, paths, transcript and profile files (codes ``I..``)."""


class AudioError(WalkgradeError):
    """Sound that cannot be used (codes ``A..``)."""


class ModelError(WalkgradeError):
    """Recogniser weights that are missing or damaged (codes ``M..``)."""


class ChecklistError(WalkgradeError):
    """A checklist or profile with faults (codes ``C..``)."""


class OutputError(WalkgradeError):
    """A result that could not be written (codes ``O..``)."""

    exit_status = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault in a file: where and what. `line` counts from 1; 0 if unknown."""

    file: str
    line: int
    path: str
    message: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.path}: {self.message}"
