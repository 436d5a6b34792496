"""The split of voices and scripts into tune, check and report (seeds/split.yaml).

Decides: on which side a voice stands, and who speaks beside it.
Public: `Split`, `load_split`, `voices_beside`.
"""

from __future__ import annotations

import functools
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import yaml

from seeds.voices import VOICES, voice
from walkgrade.errors import InputError

SPLIT_FILE = Path(__file__).with_name("split.yaml")


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """`voices` and script `prefixes` of each part, in file order."""

    voices: tuple[tuple[str, tuple[str, ...]], ...]
    prefixes: tuple[tuple[str, tuple[str, ...]], ...]

    def part_of_voice(self, name: str) -> str:
        """The part a voice stands in; ``I93`` for one that stands nowhere."""
        for part, names in self.voices:
            if name in names:
                return part
        raise InputError("I93", f"Voice {name!r} stands in no part of the split.")

    def part_of_script(self, script_id: str) -> str:
        """The part that a script's name asks for; ``I93`` for a name of no part."""
        for part, prefixes in self.prefixes:
            if script_id.startswith(prefixes):
                return part
        raise InputError("I93", f"Script {script_id!r} has the name of no part of the split.")


@functools.lru_cache(maxsize=4)
def load_split(path: Path = SPLIT_FILE) -> Split:
    """Read the split and check that no speaker stands on two sides.

    Raises
    ------
    InputError
        ``I93`` naming every unknown, doubled or missing voice and every speaker on two sides.
    """
    parts = yaml.safe_load(path.read_text(encoding="utf-8"))["parts"]
    split = Split(
        voices=tuple((part, tuple(rows["voices"])) for part, rows in parts.items()),
        prefixes=tuple((part, tuple(rows["scripts"])) for part, rows in parts.items()),
    )
    if faults := _faults(split):
        raise InputError("I93", f"{path}: " + "; ".join(faults))
    return split


def _faults(split: Split) -> list[str]:
    count = Counter(name for _, names in split.voices for name in names)
    faults = [f"no voice {name}" for name in count if name not in VOICES]
    faults += [f"voice {name} stands twice" for name, times in count.items() if times > 1]
    faults += [f"voice {name} stands nowhere" for name in VOICES if name not in count]
    sides: dict[str, set[str]] = {}
    for part, names in split.voices:
        for name in names:
            if name in VOICES:
                sides.setdefault(VOICES[name].speaker, set()).add(part)
    faults += [
        f"speaker {speaker} stands in {' and '.join(sorted(parts))}"
        for speaker, parts in sides.items()
        if len(parts) > 1
    ]
    return faults


def voices_beside(name: str) -> tuple[str, str]:
    """The voices of `examiner` and `other` beside trainee `name`: same part, other speakers."""
    split = load_split()
    names = dict(split.voices)[split.part_of_voice(voice(name).name)]
    speakers = {VOICES[one].speaker: one for one in reversed(names)}
    speakers.pop(VOICES[name].speaker)
    examiner, other, *_ = reversed(speakers.values())
    return examiner, other
