"""Train the close reader: does an utterance, read together with a question, answer it?

    python models/train_close_reader.py --data DATA.json.gz [--slips SLIPS.json] \
        [--begin KEPT.npz] --seconds 440 --keep KEPT.npz
    python models/train_close_reader.py --export 0.5:KEPT.npz 0.5:OTHER.npz

Recipe: begins with the encoder of the shipped run reader (or goes on from a kept one), reads the
labelled runs, and with --begin the retold lines (seeds/retold), as utterances with questions
(models/closer/asking.py, models/closer/pairs.py) and learns to answer. Data:
models/reader_data.py with ``--thought``. Runs named in the run reader's "without" are left out, for
the judge. ``--begin models/close_reader/encoder.onnx`` goes on from the shipped one. ``--export`` writes
the mean of several kept ones, which began one from another, to models/close_reader as int8. Needs
PyTorch and onnx; a GPU, in reasonable time. The shipped one: docs/decisions/0013-a-second-closer-reading.md,
0014-lines-told-again.md to 0016-many-more-told-first.md.
"""

from __future__ import annotations

import argparse
import gzip
import hashlib
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from models.closer.learning import Batches, learn  # noqa: E402
from models.closer.network import CloseNetwork, packed, seen, unpacked  # noqa: E402
from models.closer.pairs import PLACE, SCRAP, TARGET, Pairs  # noqa: E402
from models.closer.thinking import think  # noqa: E402
from models.reader.wording import QUESTION  # noqa: E402

READER, OUT = ROOT / "models" / "run_reader", ROOT / "models" / "close_reader"
VOCAB = READER / "vocab.txt"
BEFORE, AFTER = 64, 24
"""Pieces around an utterance when walkgrade reads: less than while learning, no worse, and quicker."""


class _Shipped(torch.nn.Module):
    """The network as walkgrade calls it: with groups, never padded."""

    def __init__(self, model: CloseNetwork) -> None:
        super().__init__()
        self.model = model

    def forward(
        self, ids: torch.Tensor, types: torch.Tensor, places: torch.Tensor, groups: torch.Tensor
    ) -> torch.Tensor:
        found: torch.Tensor = self.model(ids, types, places, seen(groups, padded=False))
        return found


def _network(begin: Path | None) -> CloseNetwork:
    model = CloseNetwork(len(VOCAB.read_text("utf-8").splitlines()))
    if begin is not None and begin.suffix == ".npz":
        model.load_state_dict(unpacked(begin))
        return model
    import onnx

    from models.unpack_reader import weights_of

    if begin is not None:
        found = weights_of(onnx.load(str(begin)), ("model.",))
        model.load_state_dict(
            {
                name.removeprefix("model."): torch.from_numpy(one.copy())
                for name, one in found.items()
            }
        )
        return model
    model.begin_from(weights_of(onnx.load(str(READER / "encoder.onnx"))))
    return model


def _data(place: Path, begin: Path | None) -> dict[str, Any]:
    with gzip.open(place, "rt", encoding="utf-8") as source:
        data: dict[str, Any] = json.load(source)
    without = set(json.loads((READER / "reader.json").read_text())["trained_on"]["without"])
    data["tune"] = [run for run in data["tune"] if run["id"].split("/")[0] not in without]
    # an untaught reader cannot tell which words of a retold line answer what
    data["retold"] = data.get("retold", []) if begin else []
    return data


def _export(shares: Sequence[str]) -> None:
    """The mean of kept readers, as the files that walkgrade ships."""
    from onnxruntime.quantization import QuantType, quantize_dynamic

    parts = [(float(share), Path(place)) for share, place in (one.split(":", 1) for one in shares)]
    if abs(sum(share for share, _ in parts) - 1.0) > 1e-6:
        raise SystemExit(f"The shares are {[share for share, _ in parts]}; they must add up to 1.")
    model = _network(parts[0][1])
    state = {name: torch.zeros_like(value) for name, value in model.state_dict().items()}
    for share, place in parts:
        for name, value in unpacked(place).items():
            state[name] += share * value
    model.load_state_dict(state)
    size, names = 12, ("ids", "types", "places", "groups")
    line = torch.arange(size)[None]
    example = (line + 5, torch.zeros_like(line), line, (line >= 8).long())
    axes = {name: {0: "n", 1: "t"} for name in (*names, "logits")}
    OUT.mkdir(exist_ok=True)
    full, target = OUT / "full.onnx", OUT / "encoder.onnx"
    torch.onnx.export(
        _Shipped(model).eval(), example, str(full), input_names=list(names), output_names=["logits"],
        dynamic_axes=axes, opset_version=17, dynamo=False,
    )  # fmt: skip
    quantize_dynamic(str(full), str(target), weight_type=QuantType.QInt8, per_channel=True)
    full.unlink()
    body = {
        "format": 1, "before": BEFORE, "target": TARGET, "after": AFTER, "scrap": SCRAP,
        "question": QUESTION, "place": PLACE, "base": "the run reader's encoder (models/run_reader)",
        "averaged": {place.stem: share for share, place in parts},
        "sha256": {target.name: hashlib.sha256(target.read_bytes()).hexdigest()},
    }  # fmt: skip
    (OUT / "reader.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")


def main(words: Sequence[str]) -> int:
    """Train and keep, or write what ships."""
    parser = argparse.ArgumentParser(description="Train the close reader")
    parser.add_argument("--data", type=Path)
    parser.add_argument("--slips", type=Path, help="models/learn_slips.py, or like-sounding words")
    parser.add_argument("--begin", type=Path, help="a kept or shipped reader to go on from")
    parser.add_argument("--keep", type=Path, help="file for the trained reader")
    parser.add_argument("--export", nargs="+", metavar="SHARE:KEPT", help="write what ships")
    parser.add_argument("--seconds", type=float, default=440)
    parser.add_argument("--rate", type=float, default=1e-4)
    parser.add_argument("--pieces", type=int, default=24_000, help="in a batch")
    parser.add_argument("--workers", type=int, default=12)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args(words)
    if args.export:
        _export(args.export)
        return 0
    if not args.data or not args.keep:
        parser.error("--data and --keep, or --export")
    torch.manual_seed(args.seed)
    model = _network(args.begin).to("cuda" if torch.cuda.is_available() else "cpu")
    slips = json.loads(args.slips.read_text("utf-8")) if args.slips else {}
    data = _data(args.data, args.begin)
    think(model, data["retold"], Pairs(data["questions"], VOCAB, {}, args.seed))
    batches = Batches(data, VOCAB, slips, args.seed, args.pieces)
    steps = learn(
        model, batches, seconds=args.seconds, rate=args.rate, workers=args.workers,
        fresh=args.begin is None,
    )  # fmt: skip
    print(f"learnt for {steps} steps", flush=True)
    np.savez_compressed(args.keep, **packed(model.state_dict()))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
