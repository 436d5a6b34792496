"""Train the item reader: what of an item was told, seen in all lines about it together?

    python models/train_item_reader.py --gather DATA.json.gz [--heard DIR ...]
    python models/train_item_reader.py --data DATA.json.gz [--slips SLIPS.json] \
        --without both|first|second --begin KEPT.npz|models/close_reader/encoder.onnx \
        --seconds 300 --rate 7e-5 --keep KEPT.npz [--answers ANSWERS.npz]
    python models/train_item_reader.py --join ANSWERS.npz ANSWERS.npz
    python models/train_item_reader.py --export 0.5:A.npz 0.5:B.npz

Recipe: `--gather` writes what the shipped readers make of tune and check scripts and of recordings
(as benchmarks.hear writes them); report scripts never (models/items/gathered.py). A network begins
with the close reader's encoder, leaves out one half of the judge's scripts, or both, and always the
fresh ones (models/items/parts.py), and learns to answer all statements of an item at once
(models/items/sheets.py, learning.py). `--answers` keeps what it says of the halves left out;
`--join` makes of two networks' the file that models/fit_judge.py reads: for each run one float16
for each requirement of its checklist in order, NaN where nothing was asked. `--export` writes the
mean of kept networks to models/item_reader as int8. `--data` and `--export` need PyTorch and onnx beside walkgrade's own packages, `--data` in reasonable time a GPU.
The shipped one: 195 s `--without both --rate 1e-4`, then from there A, 300 s `--without second`,
and B, 300 s `--without first`, both `--rate 7e-5`; seeds 1, 2, 3; half of A and half of B.
"""

from __future__ import annotations

import argparse
import gzip
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from models.items.parts import WITHOUT, Run, is_recording, parted  # noqa: E402

OUT = ROOT / "models" / "item_reader"
VOCAB = ROOT / "models" / "run_reader" / "vocab.txt"


def _gather(args: argparse.Namespace) -> None:
    from models.items.gathered import gather

    data = gather(args.heard, args.workers)
    with gzip.open(args.gather, "wt", encoding="utf-8") as target:
        json.dump(data, target)
    print(f"{len(data['runs'])} runs, {len(data['texts'])} texts")


def _train(args: argparse.Namespace) -> None:
    """Learn, keep, and answer for the runs left out."""
    import torch

    from models.closer.network import packed
    from models.items.learning import Batches, answers, learn, measured
    from models.items.sheets import Sheets
    from models.items.shipping import network

    with gzip.open(args.data, "rt", encoding="utf-8") as source:
        data: dict[str, Any] = json.load(source)
    slips = json.loads(args.slips.read_text("utf-8")) if args.slips else {}
    runs = parted(data, args.without)
    print(f"{len(runs.learnt)} runs to learn from, {len(runs.left_out)} left out", flush=True)
    torch.manual_seed(args.seed)
    model = network(args.begin, VOCAB).to("cuda" if torch.cuda.is_available() else "cpu")
    batches = Batches(data["texts"], runs.learnt, VOCAB, slips, args.seed, args.pieces)
    steps = learn(model, batches, seconds=args.seconds, rate=args.rate, workers=args.workers)
    print(f"learnt for {steps} steps", flush=True)
    np.savez_compressed(args.keep, **packed(model.state_dict()))
    if args.answers:
        sheets = Sheets(data["texts"], VOCAB, {}, args.seed)
        found = {run["id"]: answers(model, sheets, run) for run in [*runs.left_out, *runs.fresh]}
        for name, some in (("left out", runs.left_out), ("fresh", runs.fresh)):
            for kind, mine in _by_kind(some).items():
                print(f"{name}, {kind}: {measured(mine, found)}", flush=True)
        # the shipped network answers for the fresh ones itself, having learnt from none of them
        np.savez_compressed(args.answers, **{run["id"]: found[run["id"]] for run in runs.left_out})


def _by_kind(runs: Sequence[Run]) -> dict[str, list[Run]]:
    return {
        "typed": [run for run in runs if not is_recording(run["id"])],
        "recognised": [run for run in runs if is_recording(run["id"])],
    }


def joined(places: Sequence[Path]) -> dict[str, np.ndarray]:
    """The answers of several files, by run; float16 (requirements,).

    Raises
    ------
    SystemExit : two files answer for the same run.
    """
    found: dict[str, np.ndarray] = {}
    for place in places:
        with np.load(place) as body:
            if twice := sorted(set(found) & set(body.files)):
                raise SystemExit(
                    f"{place} answers for {twice[0]} once more ({len(twice)} runs in all); each "
                    "run may be answered once. Join networks trained --without first and second."
                )
            found.update({name: body[name].astype(np.float16) for name in body.files})
    return {name: found[name] for name in sorted(found)}


def _join(args: argparse.Namespace) -> None:
    found = joined(args.join)
    np.savez_compressed(args.out, **found)
    print(f"answers for {len(found)} runs")


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description="Train the item reader")
    parser.add_argument("--gather", type=Path, metavar="DATA", help="write the data, and stop")
    parser.add_argument("--heard", type=Path, nargs="+", default=[], help="folders of recordings")
    parser.add_argument("--data", type=Path, help="what --gather wrote")
    parser.add_argument("--slips", type=Path, help="models/learn_slips.py, or like-sounding words")
    parser.add_argument("--without", choices=WITHOUT, help="halves of the judge's scripts left out")
    parser.add_argument("--begin", type=Path, help="a kept network, or the shipped close reader")
    parser.add_argument("--keep", type=Path, help="file for the trained network")
    parser.add_argument("--answers", type=Path, help="file for answers for the halves left out")
    parser.add_argument("--join", type=Path, nargs="+", metavar="ANSWERS", help="join such files")
    parser.add_argument("--out", type=Path, default=OUT / "left_out.npz", help="joined answers")
    parser.add_argument("--export", nargs="+", metavar="SHARE:KEPT", help="write what ships")
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--rate", type=float, default=7e-5)
    parser.add_argument("--pieces", type=int, default=24_000, help="in a batch")
    parser.add_argument(
        "--workers", type=int, default=12, help="processes that write sheets or read"
    )
    parser.add_argument("--seed", type=int, default=1)
    return parser


def main(words: Sequence[str]) -> int:
    """Gather, train and keep, join, or write what ships."""
    parser = _parser()
    args = parser.parse_args(words)
    if args.gather:
        _gather(args)
    elif args.join:
        _join(args)
    elif args.export:
        from models.items.shipping import export

        export(args.export, VOCAB, OUT)
    elif all((args.data, args.without, args.begin, args.keep)):
        _train(args)
    else:
        parser.error(
            "--gather, or --data with --without, --begin and --keep, or --join, or --export"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
