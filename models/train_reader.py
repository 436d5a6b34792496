"""Train the run reader: which of the checklist's questions an utterance answers, in its context.

    python models/train_reader.py --base MINILM --data DATA.json.gz --slips SLIPS.json --out DIR \
        [--teacher READER.pt --taught 0.7 --edited 0.7]
    python models/train_reader.py --base MPNET --rate 4e-5 --keep READER.pt ...     (the teacher)

Recipe: one encoder reads a stretch of the talk of at most `CHUNK` word pieces, and, apart, each
question. Every question looks over the pieces of each utterance with a few heads, and a small layer
judges what it saw: answered rightly, or against (models/reader/network.py). A larger encoder
(all-mpnet-base-v2) learns first and is not shipped; the one that ships (all-MiniLM-L6-v2; both
Apache-2.0) learns from the labels and from what the larger one thinks, also of lines whose clauses
were taken out or exchanged, whose truth nobody wrote down. Data: models/reader_data.py. Words are
swapped for what recognisers make of them (models/learn_slips.py). Held out: the check part,
printed only. Needs PyTorch and transformers; MINILM and MPNET are folders with `config.json`,
`model.safetensors` and `vocab.txt`.
"""

from __future__ import annotations

import argparse
import gzip
import json
import math
import random
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import torch

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from models.reader.batches import HARD, SIZE, Batches  # noqa: E402
from models.reader.export import export, sum_of  # noqa: E402
from models.reader.learning import Plan, learn  # noqa: E402
from models.reader.measure import measure  # noqa: E402
from models.reader.network import RunReader, load_encoder  # noqa: E402
from models.reader.wording import Wording  # noqa: E402

_TYPED, _HEARD = 6, 3  # check runs that are measured: the last typed ones, the first recognised


def _arguments(words: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Train the run reader")
    parser.add_argument("--base", required=True, type=Path, help="folder of the encoder")
    parser.add_argument("--vocab", type=Path, default=ROOT / "models" / "run_reader" / "vocab.txt")
    parser.add_argument("--data", required=True, type=Path)
    parser.add_argument("--slips", type=Path)
    parser.add_argument("--out", type=Path, help="folder for the files that ship")
    parser.add_argument("--keep", type=Path, help="file for the trained reader, to teach another")
    parser.add_argument("--begin", type=Path, help="a reader kept with --keep, to go on from")
    parser.add_argument("--teacher", type=Path, help="a reader kept with --keep")
    parser.add_argument("--teacher-base", type=Path, help="folder of the teacher's encoder")
    parser.add_argument("--taught", type=float, default=0.7, help="share of the teacher's word")
    parser.add_argument("--edited", type=float, default=0.0, help="edited runs for each real one")
    parser.add_argument("--average", action="store_true", help="the mean of many steps' weights")
    parser.add_argument("--epochs", type=int, default=30)
    parser.add_argument("--made", type=int, default=60, help="made runs in each epoch")
    parser.add_argument("--workers", type=int, default=12)
    parser.add_argument("--seconds", type=float, default=3600, help="stop learning after so long")
    parser.add_argument("--state", type=Path, help="file to pause in, and to go on from")
    parser.add_argument("--pause", type=float, default=math.inf, help="seconds until a pause")
    parser.add_argument("--size", type=int, default=SIZE, help="stretches in a batch")
    parser.add_argument("--rate", type=float, default=2e-4, help="of learning, for the encoder")
    parser.add_argument("--hard", type=float, default=HARD, help="weight of a no to a part named")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--without", default="", help="script ids kept from the training")
    args = parser.parse_args(words)
    if args.average and args.state:
        parser.error("--average with --state: a pause keeps no mean; learn in one go")
    return args


def _data(place: Path, without: str) -> dict[str, Any]:
    with gzip.open(place, "rt", encoding="utf-8") as source:
        data: dict[str, Any] = json.load(source)
    held = set(filter(None, without.split(",")))
    data["tune"] = [run for run in data["tune"] if run["id"].split("/")[0] not in held]
    return data


def _teacher(args: argparse.Namespace, vocab: list[str], device: str) -> RunReader | None:
    if args.teacher is None:
        return None
    reader = RunReader(load_encoder(args.teacher_base, vocab))
    reader.load_state_dict(torch.load(args.teacher, map_location="cpu"))
    return reader.to(device).eval()


def main(words: Sequence[str]) -> int:
    """Train, measure, write."""
    args = _arguments(words)
    torch.manual_seed(args.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    data = _data(args.data, args.without)
    slips = json.loads(args.slips.read_text("utf-8")) if args.slips else {}
    vocab = args.vocab.read_text("utf-8")
    word = Wording(args.vocab, slips, random.Random(args.seed))
    model = RunReader(load_encoder(args.base, vocab.splitlines())).to(device)
    if args.begin:
        model.load_state_dict(torch.load(args.begin, map_location=device))
    batches = Batches(
        data, made=args.made, slips=slips, vocab=args.vocab, epochs=args.epochs,
        edited=args.edited, seed=args.seed, hard=args.hard, hands=args.workers, size=args.size,
    )  # fmt: skip
    print(f"{len(data['tune'])} runs, {len(batches)} steps", flush=True)
    plan = Plan(
        rate=args.rate, seconds=args.seconds, workers=args.workers, taught=args.taught,
        average=args.average,
        state=args.state, pause=args.pause,
    )  # fmt: skip
    if not learn(model, batches, plan, word.pad, _teacher(args, vocab.splitlines(), device)):
        return 0
    typed = [r for r in data["check"] if r["source"] == "typed"][-_TYPED:]
    heard = [r for r in data["check"] if r["source"] == "heard"][:_HEARD]
    found = {"typed": measure(model, typed, data["questions"], word)}
    if heard:
        found["recognised"] = measure(model, heard, data["questions"], word)
    print(json.dumps(found), flush=True)
    if args.keep:
        torch.save(model.state_dict(), args.keep)
    if args.out:
        args.out.mkdir(parents=True, exist_ok=True)
        told = {
            "base": "all-MiniLM-L6-v2 (Apache-2.0)",
            "taught_by": "all-mpnet-base-v2 (Apache-2.0)" if args.teacher else "",
            "trained_on": {
                "runs": len(data["tune"]),
                "data": sum_of(args.data),
                "without": sorted(filter(None, args.without.split(","))),
            },
            "check_part": found,
        }
        export(model, args.out, vocab, told)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
