"""What the recogniser makes of the trade's words: learnt from tune scripts spoken and recognised.

    python models/learn_slips.py --heard DIR --corpus DIR --out SLIPS.json

Decides: which stretches of up to three words were heard as others, by aligning each line with the
words recognised in its time. Used backwards while the run reader learns (models/train_reader.py).
Conventions: lower case without punctuation; a slip is kept as often as it was heard, so that a
random pick follows the recogniser's habits; words heard rightly are kept too, under themselves.
"""

from __future__ import annotations

import argparse
import difflib
import json
import re
import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks.agreement import scripts
from walkgrade.speech.transcript_json import from_data

_LONGEST, _MOST = 3, 40
_MARGIN_MS = 250


def plain(text: str) -> list[str]:
    """Words, lower case, bare."""
    return re.sub(r"[^a-z0-9'/ ]+", " ", text.lower().replace("-", " ")).split()


def slips_of(meant: Sequence[str], heard: Sequence[str]) -> Iterator[tuple[str, str]]:
    """(meant, heard) stretches of a line."""
    for tag, a, b, c, d in difflib.SequenceMatcher(a=meant, b=heard, autojunk=False).get_opcodes():
        if tag == "replace" and b - a <= _LONGEST and d - c <= _LONGEST:
            yield " ".join(meant[a:b]), " ".join(heard[c:d])


def main(words: Sequence[str]) -> int:
    """Write the slips."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--heard", type=Path, required=True)
    parser.add_argument("--corpus", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    args = parser.parse_args(words)
    known = {s.id: s for s in scripts("tune")}
    found: dict[str, list[str]] = defaultdict(list)
    files = 0
    for path in sorted(args.heard.glob("tune-*.json")):
        body = json.loads(path.read_text("utf-8"))
        script, voice, _, _, key = path.stem.split("--")
        side = next(args.corpus.rglob(f"{script}--{voice}--{key}.json"), None)
        if side is None or "transcript" not in body or script not in known:
            continue
        files += 1
        said = [w for s in from_data(body["transcript"]).segments for w in s.words]
        for (start, end), line in zip(
            json.loads(side.read_text())["times"], known[script].lines, strict=True
        ):
            mine = [
                w.text
                for w in said
                if start - _MARGIN_MS <= (w.start + w.end) / 2 < end + _MARGIN_MS
            ]
            for meant, heard in slips_of(plain(line.text), plain(" ".join(mine))):
                found[meant].append(heard)
    kept = {meant: heard[:_MOST] for meant, heard in sorted(found.items())}
    args.out.write_text(json.dumps(kept), "utf-8")
    print(f"{files} recordings, {len(kept)} stretches, {sum(map(len, kept.values()))} slips")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
