"""Spoken scripts for the benchmarks: one small Ogg Opus file for each script and voice.

    python -m benchmarks.corpus --part report [--voices flite-awb,kokoro-heart] [--out DIR]

Decides: which voices speak a part when none are named, and when a file is made again.
Conventions: 16 kHz mono, about 2 kB for each second; always spoken clean, because noise is added
when a file is read (`benchmarks.conditions`). A file's name ends in a sum over all that shapes its
sound, so a changed line makes a new file and removes the old one. The folder is --out, else
WALKGRADE_CORPUS, else ``walkgrade-corpus`` in the user's cache folder; never inside the repository
unless asked for. Beside each sound lies a ``.json`` with script, voice and true line times.
Public: `DEFAULT_VOICES`, `Spoken`, `corpus_folder`, `spoken_in`, `speak_part`.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import soundfile

from benchmarks.agreement import scripts
from seeds.script import Script
from seeds.speak import MACHINE, RATE, Recording, speak_script
from seeds.split import load_split, voices_beside
from seeds.voices import VOICES, missing_tool
from walkgrade.errors import InputError, WalkgradeError

DEFAULT_VOICES: dict[str, tuple[str, ...]] = {
    "tune": ("flite-slt", "espeak-us", "piper-joe"),
    "check": ("flite-rms", "espeak-us-f3", "kokoro-eric", "kokoro-bella"),
    "report": (
        "flite-awb", "festival-ked", "espeak-caribbean", "espeak-nyc", "espeak-scotland",
        "kokoro-heart", "kokoro-onyx", "kokoro-alex",
    ),
}  # fmt: skip
"""Chosen before anything was heard: every engine, men and women, and accents (awb and scotland
Scottish, caribbean, alex Spanish). Adding a voice later is fine, dropping one is not."""

_SPEAKERS = {"tune": ("tune", "check"), "check": ("check",), "report": ("report",)}
"""Check voices may also speak tune scripts: the judge is fitted on some (models/fit_judge.py)."""

COMPRESSION = 0.955
"""About 15 kbit/s; at this rate speech at 16 kHz keeps its whole band."""
SEPARATOR = "--"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """A sound file of the corpus with what its name says."""

    script: str
    voice: str
    path: Path


def corpus_folder(given: str | Path | None = None) -> Path:
    """Where spoken scripts lie."""
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return Path(given or os.environ.get("WALKGRADE_CORPUS") or cache / "walkgrade-corpus")


def spoken_in(folder: Path) -> tuple[Spoken, ...]:
    """Every sound below `folder`, by script, then voice."""
    found = []
    for path in folder.rglob(f"*{SEPARATOR}*{SEPARATOR}*.opus"):
        script, voice, _ = path.stem.split(SEPARATOR)
        found.append(Spoken(script=script, voice=voice, path=path))
    return tuple(sorted(found, key=lambda one: (one.script, one.voice)))


def content_key(script: Script, voice: str, beside: str = "") -> str:
    """Sum over everything that shapes the sound: words, pauses, speakers and their settings."""
    others = (beside, beside) if beside else voices_beside(voice)
    cast = [(VOICES[one].engine, VOICES[one].model, VOICES[one].rate) for one in (voice, *others)]
    lines = [(line.who, line.pause_ms, line.text) for line in script.lines]
    text = json.dumps([MACHINE, COMPRESSION, cast, lines])
    return hashlib.sha256(text.encode()).hexdigest()[:10]


def speak_part(
    part: str,
    voices: Sequence[str],
    folder: Path,
    only: Sequence[str] = (),
    beside: str = "",
) -> Iterator[tuple[Spoken, bool]]:
    """Speak every script of `part` (or `only` some) by every voice; each file, and if it is new.

    `beside`: see `seeds.speak.speak_script`.

    Raises
    ------
    InputError
        ``I93`` when a voice may not speak that side of the split.
    ModelError
        ``M92`` when an engine is missing here.
    """
    split = load_split()
    strangers = [
        one
        for one in filter(None, (*voices, beside))
        if split.part_of_voice(one) not in _SPEAKERS[part]
    ]
    if strangers:
        raise InputError("I93", f"Not voices of the part {part}: {', '.join(strangers)}.")
    wanted = [script for script in scripts(part) if not only or script.id in only]
    for voice in voices:
        for script in wanted:
            yield _speak(script, voice, folder / part, beside)


def _speak(script: Script, voice: str, folder: Path, beside: str) -> tuple[Spoken, bool]:
    stem = SEPARATOR.join((script.id, voice, content_key(script, voice, beside)))
    path = folder / f"{stem}.opus"
    spoken = Spoken(script=script.id, voice=voice, path=path)
    if path.exists():
        return spoken, False
    folder.mkdir(parents=True, exist_ok=True)
    recording = speak_script(script, voice, "clean", beside=beside)
    for stale in folder.glob(f"{script.id}{SEPARATOR}{voice}{SEPARATOR}*"):
        stale.unlink()
    path.with_suffix(".json").write_text(_side(recording), encoding="utf-8")
    scratch = path.with_suffix(f".{os.getpid()}.part")
    soundfile.write(scratch, recording.samples, RATE, format="OGG", subtype="OPUS",
                    compression_level=COMPRESSION)  # fmt: skip
    scratch.replace(path)
    return spoken, True


def _side(recording: Recording) -> str:
    return json.dumps(
        {
            "script": recording.script,
            "voice": recording.voice,
            "duration_ms": recording.duration_ms,
            "times": recording.times,
        }
    )


def main(words: Sequence[str]) -> int:
    """Speak a part; gives the exit status."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.corpus", description=__doc__)
    parser.add_argument("--part", required=True, choices=sorted(DEFAULT_VOICES))
    parser.add_argument("--voices", default="", help="names with commas between them")
    parser.add_argument("--scripts", default="", help="only these, with commas between them")
    parser.add_argument("--beside", default="", help="one voice for all lines of others")
    parser.add_argument("--out", help="folder of the corpus")
    args = parser.parse_args(words)
    names = tuple(filter(None, args.voices.split(","))) or DEFAULT_VOICES[args.part]
    only = tuple(filter(None, args.scripts.split(",")))
    folder = corpus_folder(args.out)
    try:
        able = [name for name in names if not missing_tool(VOICES[name].engine)]
        for name in set(names) - set(able):
            print(f"left out {name}: install {missing_tool(VOICES[name].engine)}")
        for spoken, new in speak_part(args.part, able, folder, only, args.beside):
            size = spoken.path.stat().st_size
            print(
                f"{'spoke' if new else 'kept '} {spoken.path.name} {size / 1e6:.2f} MB", flush=True
            )
    except WalkgradeError as error:
        print(error, file=sys.stderr)
        return error.exit_status
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
