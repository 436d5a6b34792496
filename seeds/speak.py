"""Speaks a script: text lines -> an Ogg Opus recording and a side file of true line times.

    python -m seeds.speak script.yaml --voice piper-joe --condition snr20 --out run.opus

Decides: how lines, pauses, other voices and noise become one recording.
Conventions: 16 kHz mono; times in whole milliseconds ``[start, end)``; every line is brought to
the same active level, so the noise condition is that of the whole run. Spoken lines are kept in a
cache by content (voice settings and words) under the folder named by WALKGRADE_SEEDS_CACHE,
default ``~/.cache/walkgrade-seeds``.
Public: `CONDITIONS`, `in_condition`, `speak_script`, `write_recording`, `Recording`.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import os
import sys
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from scipy import signal

from seeds import noise
from seeds.noise import Sound
from seeds.script import Script, load_script
from seeds.split import voices_beside
from seeds.spoken import spoken
from seeds.voices import Voice, say, voice
from walkgrade.errors import AudioError, InputError, WalkgradeError

RATE = 16_000
LEVEL = 0.08
"""Active RMS of every line, about -22 dB below full scale."""
TAIL_S = 0.8
MACHINE = 1
"""Raise this when the way a line is spoken changes: the cache then starts afresh."""

CONDITIONS: dict[str, tuple[float, bool]] = {
    "clean": (math.inf, False),
    "snr20": (20.0, False),
    "snr10": (10.0, False),
    "snr5": (5.0, False),
    "phone": (math.inf, True),
    "phone-snr10": (10.0, True),
}
"""Condition -> (signal-to-noise ratio in dB, through a telephone band)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """A spoken script: `times` holds one ``(start, end)`` in ms for each script line."""

    script: str
    voice: str
    condition: str
    samples: Sound
    times: tuple[tuple[int, int], ...]
    texts: tuple[str, ...]
    who: tuple[str, ...]
    snr_db: float

    @property
    def duration_ms(self) -> int:
        """Length of the recording."""
        return len(self.samples) * 1000 // RATE


def speak_script(
    script: Script,
    name: str,
    condition: str,
    *,
    say_line: Callable[[str, Voice], Sound] | None = None,
    beside: str = "",
) -> Recording:
    """Speak every line of `script` with voice `name`; other voices come from its side of the split.

    `say_line` (text, voice -> samples at `RATE`) takes the place of the engines and their cache.
    `beside`: one voice that speaks all others' lines instead, where the split's own cannot speak.

    Raises
    ------
    InputError
        ``I92`` for an unknown condition.
    ModelError
        ``M91`` unknown voice, ``M92`` engine missing, ``M93`` damaged voice files.
    """
    if condition not in CONDITIONS:
        raise InputError("I92", f"No condition {condition!r}; known: {', '.join(CONDITIONS)}.")
    speak_one = say_line or cached_line
    examiner, other = (beside, beside) if beside else voices_beside(name)
    cast = {"trainee": voice(name), "examiner": voice(examiner), "other": voice(other)}
    pieces: list[Sound] = []
    times, now = [], 0
    for line in script.lines:
        pieces.append(np.zeros(line.pause_ms * RATE // 1000, dtype=np.float32))
        sound = speak_one(spoken(line.text), cast[line.who])
        start = now + len(pieces[-1])
        now = start + len(sound)
        pieces.append(sound)
        times.append((start * 1000 // RATE, now * 1000 // RATE))
    pieces.append(np.zeros(int(TAIL_S * RATE), dtype=np.float32))
    samples, snr = in_condition(np.concatenate(pieces), script.id, condition)
    return Recording(
        script=script.id, voice=name, condition=condition, samples=samples, times=tuple(times),
        texts=tuple(line.text for line in script.lines),
        who=tuple(line.who for line in script.lines), snr_db=snr,
    )  # fmt: skip


def in_condition(speech: Sound, seed_word: str, condition: str) -> tuple[Sound, float]:
    """Mix and band-limit; gives the samples and the ratio as measured on what was mixed."""
    snr_db, phone = CONDITIONS[condition]
    snr, mix = math.inf, speech
    if math.isfinite(snr_db):
        yard = noise.yard_noise(zlib.crc32(seed_word.encode()), len(speech), RATE)
        yard = noise.scaled_to(speech, yard, snr_db, RATE)
        snr, mix = noise.measured_snr(speech, yard, RATE), speech + yard
    if phone:
        mix = noise.telephone(mix, RATE)
    peak = float(np.max(np.abs(mix)))
    return (mix * (0.97 / peak) if peak > 0.97 else mix).astype(np.float32), snr


def cache_folder() -> Path:
    """Where spoken lines are kept."""
    default = Path.home() / ".cache" / "walkgrade-seeds"
    return Path(os.environ.get("WALKGRADE_SEEDS_CACHE", default))


def cached_line(text: str, who: Voice) -> Sound:
    """`text` spoken by `who` at `RATE` and `LEVEL`, from the cache when it was spoken before."""
    key = hashlib.sha256(
        json.dumps([MACHINE, who.engine, who.model, who.rate, text]).encode()
    ).hexdigest()
    path = cache_folder() / key[:2] / f"{key}.wav"
    if path.exists():
        return _read(path)
    sound, rate = say(text, who)
    sound = _levelled(signal.resample_poly(sound, RATE, rate).astype(np.float32))
    path.parent.mkdir(parents=True, exist_ok=True)
    scratch = path.with_suffix(f".{os.getpid()}.wav")
    soundfile.write(scratch, sound, RATE, subtype="PCM_16")
    scratch.replace(path)
    return _read(path)


def _read(path: Path) -> Sound:
    samples: Sound = soundfile.read(path, dtype="float32")[0]
    return samples


def _levelled(sound: Sound) -> Sound:
    """Trim the engine's own silence at both ends and bring the line to `LEVEL`."""
    active = np.flatnonzero(noise.active_mask(sound, RATE))
    edge = RATE // 25
    sound = sound[max(0, active[0] - edge) : active[-1] + edge]
    mask = noise.active_mask(sound, RATE)
    loud = float(np.sqrt(np.mean(np.square(sound[mask], dtype=np.float64))))
    return np.clip(sound * (LEVEL / loud), -1, 1).astype(np.float32)


def write_recording(recording: Recording, path: Path) -> None:
    """Write ``path`` (Ogg Opus) and, beside it, ``.json`` with the true line times."""
    try:
        soundfile.write(path, recording.samples, RATE, format="OGG", subtype="OPUS")
    except (OSError, soundfile.LibsndfileError) as error:
        raise AudioError("A91", f"Cannot write {path}: {error}", "Choose another --out.") from error
    side = {
        "script": recording.script,
        "voice": recording.voice,
        "condition": recording.condition,
        "rate": RATE,
        "duration_ms": recording.duration_ms,
        "snr_db": round(recording.snr_db, 2) if math.isfinite(recording.snr_db) else None,
        "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
        "lines": [
            {"line": number, "who": who, "start": start, "end": end, "text": text}
            for number, (who, (start, end), text) in enumerate(
                zip(recording.who, recording.times, recording.texts, strict=True), 1
            )
        ],
    }
    text = json.dumps(side, indent=1, ensure_ascii=False) + "\n"
    path.with_suffix(".json").write_text(text, encoding="utf-8")


def main(words: list[str] | None = None) -> int:
    """Command line; gives the exit status."""
    parser = argparse.ArgumentParser(prog="python -m seeds.speak", description="Speak a script.")
    parser.add_argument("script", type=Path)
    parser.add_argument("--voice", required=True)
    parser.add_argument("--condition", default="clean", help=", ".join(CONDITIONS))
    parser.add_argument("--out", type=Path, required=True, help="recording to write (.opus)")
    given = parser.parse_args(words)
    try:
        recording = speak_script(load_script(given.script), given.voice, given.condition)
        write_recording(recording, given.out)
    except WalkgradeError as error:
        print(error, file=sys.stderr)
        return error.exit_status
    seconds = recording.duration_ms / 1000
    print(f"{given.out}: {seconds:.1f} s, {recording.condition}, SNR {recording.snr_db:.1f} dB")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
