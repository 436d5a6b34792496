"""Remakes the demo recordings in seeds/recordings.

    python -m seeds.make_recordings [demo-short ...]

Decides: which demo script is spoken by whom and in what noise. The neural voice draws noise of its
own, so a remade full run has the same words and near, not equal, bytes; the line cache keeps a
machine's own copies equal.
Public: `RECORDINGS`, `make`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from seeds.script import load_script
from seeds.speak import speak_script, write_recording
from walkgrade.errors import WalkgradeError

HERE = Path(__file__).parent
FOLDER = HERE / "recordings"

RECORDINGS: dict[str, tuple[str, str]] = {
    "demo-full": ("piper-joe", "snr20"),
    "demo-poor": ("kokoro-michael", "snr10"),
    "demo-short": ("flite-slt", "clean"),
}
"""Script id -> voice of the trainee and condition; the examiner is seeds.split's choice."""


def make(script_id: str) -> Path:
    """Speak one demo script into `FOLDER`; gives the path of the recording."""
    voice, condition = RECORDINGS[script_id]
    script = load_script(HERE / "scripts" / f"{script_id}.yaml")
    path = FOLDER / f"{script_id}.opus"
    FOLDER.mkdir(exist_ok=True)
    write_recording(speak_script(script, voice, condition), path)
    return path


def main(words: list[str]) -> int:
    """Command line; gives the exit status."""
    try:
        for script_id in words or RECORDINGS:
            path = make(script_id)
            print(f"{path.name}: {path.stat().st_size / 1e6:.1f} MB")
    except WalkgradeError as error:
        print(error, file=sys.stderr)
        return error.exit_status
    except KeyError as error:
        print(f"No demo script {error}; known: {', '.join(RECORDINGS)}.", file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
