"""Errors of checklist and profile files, each with every fault found.

Decides: how faults read when there are many.
Conventions: `faults` is sorted by file, line and path, and never empty for C02, C04 and C05.
Public: `FaultyFileError`, `refuse`.
"""

from __future__ import annotations

from collections.abc import Iterable

from walkgrade.errors import ChecklistError, Fault


class FaultyFileError(ChecklistError):
    """A checklist or profile with faults; `faults` holds all of them, `message` lists them."""

    def __init__(
        self, code: str, message: str, way_out: str = "", faults: tuple[Fault, ...] = ()
    ) -> None:
        super().__init__(code, message, way_out)
        self.faults = faults


def refuse(code: str, what: str, faults: Iterable[Fault], way_out: str) -> FaultyFileError:
    """Return the error that names `what` and lists every fault on its own line."""
    ordered = tuple(sorted(set(faults), key=lambda f: (f.file, f.line, f.path, f.message)))
    count = "1 fault" if len(ordered) == 1 else f"{len(ordered)} faults"
    listing = "".join(f"\n  {fault}" for fault in ordered)
    return FaultyFileError(code, f"{what} has {count}:{listing}\n", way_out, ordered)
