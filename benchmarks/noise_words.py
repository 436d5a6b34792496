"""Word error of recordings in yard noise, heard as they are and quietened.

    python -m benchmarks.noise_words --corpus DIR [--conditions snr10] [--models trade]
        [--files check-01--flite-rms,check-04--flite-rms]

Decides: nothing; it measures what `walkgrade.speech.quieten` is worth.
Conventions: DIR is a corpus as `benchmarks.corpus` speaks it; `--files` are beginnings of names.
Word error is against the script, plainly normalised; item kappa and the counts of false and missed
credit are the engine's from those words. `untouched`: quietening gave every sample back.
Public: `main`.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from unittest.mock import patch

import jiwer

from benchmarks.agreement import SCRIPTS, engine, fitted, tally
from benchmarks.conditions import in_condition_file
from benchmarks.corpus import spoken_in
from benchmarks.speech_speed import plain
from seeds.script import Script, load_script
from walkgrade.language.expected import expected_words
from walkgrade.speech import recognise
from walkgrade.speech.listen import listen


def measured(sound: Path, script: Script, model: str, *, quietened: bool) -> str:
    """One way of hearing, as a line of figures."""
    changed: list[bool] = []

    def way(samples: recognise.Samples) -> recognise.Samples:
        after = real(samples) if quietened else samples
        changed.append(after is not samples)
        return after

    real = recognise.quieten
    checklist = fitted(script)
    with tempfile.TemporaryDirectory() as cache, patch.object(recognise, "quieten", way):
        terms = expected_words(checklist)
        heard, _ = listen(sound, model=model, device="cpu", cache_dir=Path(cache), terms=terms)
    said = plain(" ".join(line.text for line in script.lines))
    words = plain(" ".join(word.text for segment in heard.segments for word in segment.words))
    error = jiwer.wer(" ".join(said), " ".join(words))
    found, _ = tally(script, engine(heard, checklist, script.profile))
    note = "" if any(changed) or not quietened else "  untouched"
    return (f"word error {error:.3f}, kappa {found.kappa:.3f}, false {found.false_credit}, "
            f"missed {found.missed_credit} of {found.items}{note}")  # fmt: skip


def main(words: Sequence[str]) -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.noise_words", description=__doc__)
    parser.add_argument("--corpus", type=Path, required=True)
    parser.add_argument("--conditions", default="snr10")
    parser.add_argument("--models", default="trade")
    parser.add_argument("--files", default="", help="beginnings of names; all when empty")
    args = parser.parse_args(words)
    starts = tuple(args.files.split(","))
    with tempfile.TemporaryDirectory() as scratch:
        for spoken in spoken_in(args.corpus):
            if not spoken.path.name.startswith(starts):
                continue
            script = load_script(SCRIPTS / f"{spoken.script}.yaml")
            for condition in args.conditions.split(","):
                sound = in_condition_file(spoken.path, script.id, condition, Path(scratch))
                for model in args.models.split(","):
                    for quietened in (False, True):
                        figures = measured(sound, script, model, quietened=quietened)
                        how = "quietened" if quietened else "as it is"
                        print(f"{script.id} {spoken.voice} {condition} {model} {how:9}: {figures}",
                              flush=True)  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
