"""Recognised speech kept on disk, so that grading again does not mean listening again.

Decides: when a kept result may stand for a new one: same sound, same weights, same settings.
Conventions: one JSON file a result; its name begins with the sound's sha256, so everything kept
of one recording can be found and erased. A damaged file counts as absent. Unfinished work is kept
the same way, window by window.
Public: `RecognitionCache`, `recognition_key`.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from walkgrade.errors import OutputError
from walkgrade.speech.places import write_whole
from walkgrade.speech.records import SoundNotice, Transcript

_FORM = 1


def recognition_key(audio_sha256: str, model_sha256: str, settings: str) -> str:
    """File stem of the result for this sound, these weights and these settings."""
    rest = hashlib.sha256(f"{_FORM}\n{model_sha256}\n{settings}".encode()).hexdigest()
    return f"{audio_sha256}-{rest[:16]}"


@dataclass(frozen=True, slots=True)
class RecognitionCache:
    """Results and unfinished work below `folder`."""

    folder: Path

    def find(self, key: str) -> tuple[Transcript, tuple[SoundNotice, ...]] | None:
        """The kept result, or None."""
        from walkgrade.speech.transcript_json import from_data

        data = _read(self._result(key))
        if data is None:
            return None
        try:
            notices = tuple(SoundNotice(**notice) for notice in data["notices"])
            return from_data(data["transcript"]), notices
        except (KeyError, TypeError, ValueError):
            return None

    def keep(self, key: str, transcript: Transcript, notices: tuple[SoundNotice, ...]) -> None:
        """Keep a result and drop the unfinished work it came from."""
        from walkgrade.speech.transcript_json import as_data

        data = {
            "transcript": as_data(transcript),
            "notices": [asdict(notice) for notice in notices],
        }
        _write(self._result(key), data)
        with contextlib.suppress(OSError):
            self._unfinished(key).unlink()

    def find_unfinished(self, key: str) -> dict[str, Any] | None:
        """What an interrupted run had reached, or None."""
        return _read(self._unfinished(key))

    def keep_unfinished(self, key: str, data: dict[str, Any]) -> None:
        """Keep how far a run has come."""
        _write(self._unfinished(key), data)

    def forget(self, audio_sha256: str) -> int:
        """Erase everything kept of one recording; the number of files erased."""
        found = [
            path
            for folder in ("recognised", "unfinished")
            for path in (self.folder / folder).glob(f"{audio_sha256}-*.json")
        ]
        for path in found:
            path.unlink(missing_ok=True)
        return len(found)

    def _result(self, key: str) -> Path:
        return self.folder / "recognised" / f"{key}.json"

    def _unfinished(self, key: str) -> Path:
        return self.folder / "unfinished" / f"{key}.json"


def _read(path: Path) -> dict[str, Any] | None:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data if isinstance(data, dict) else None


def _write(path: Path, data: dict[str, Any]) -> None:
    try:
        write_whole(path, lambda out: out.write(json.dumps(data).encode()))
    except OutputError:
        return  # a cache that cannot be written costs time, never the result
