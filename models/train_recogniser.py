"""Train small additions to the recogniser's weights: the talk of a vehicle inspection.

    python models/train_recogniser.py --weights WHISPER --spoken DIR --words WORDS.json.gz \
        --seconds 430 --out models/trade.npz
    python models/train_recogniser.py --weights WHISPER --pack PACKED.npz

Recipe: Whisper's own matrices stay; beside each a pair of thin ones is trained on tune scripts
spoken by tune voices (models/recogniser_data.py) at changing speeds, colours and noise, told what
to expect as when a run is heard, while on general talk the network is held to what it was
(models/recogniser/). It ends by the clock, so two trainings never give the same bytes. Needs
PyTorch with a CUDA device (ten minutes), SciPy and soundfile.
WHISPER is a folder with ``model.bin``, or such a file packed into bytes by --pack, which is enough
to train on and half as large. The sum in models/manifest.toml must follow the file.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from models.recogniser.packed import pack, read_tensors  # noqa: E402

if TYPE_CHECKING:
    from models.recogniser.chunks import Spoken
    from models.recogniser.network import Whisper


def train(given: argparse.Namespace) -> None:
    """Read everything, train, and keep what was added."""
    import torch

    from models.recogniser.corpus import apart, batches, read_spoken
    from models.recogniser.learning import Plan, learn
    from models.recogniser.network import Whisper

    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.manual_seed(given.seed)
    spoken, general, noise, marks = read_spoken(given.spoken, given.words, given.workers)
    for name, runs in (("scripts", spoken), ("general", general)):
        print(f"{name}: {len(runs)} recordings, {hours(runs):.1f} h", flush=True)
    net = Whisper(read_tensors(given.weights), given.rank)
    if given.start:
        go_on(net, given.start)
    net = net.to(device).train()
    plan = Plan(seconds=given.seconds, rate=given.rate, stay=given.stay,
                apart=apart(given.size, general))  # fmt: skip
    feed = batches(spoken, general, noise, marks, given.size, given.seed)
    steps = learn(net, feed, noise, plan)
    keep(net, given.out)
    print(f"{steps} steps, {given.out.stat().st_size / 1e6:.1f} MB")


def hours(runs: Sequence[Spoken]) -> float:
    """Of sound, each recording counted once."""
    return sum(run.sounds[0].size for run in runs) / 16_000 / 3600


def go_on(net: Whisper, place: Path) -> None:
    """Begin with what an earlier training of the same rank has kept."""
    import torch

    with np.load(place) as kept, torch.no_grad():
        for name, (up, down) in net.additions().items():
            up.copy_(torch.tensor(kept[f"{name}|up"]))
            down.copy_(torch.tensor(kept[f"{name}|down"]))


def keep(net: Whisper, place: Path) -> None:
    """Write what was added, in half precision."""
    kept = {}
    for name, (up, down) in net.additions().items():
        kept[f"{name}|up"] = up.detach().cpu().numpy().astype(np.float16)
        kept[f"{name}|down"] = down.detach().cpu().numpy().astype(np.float16)
    np.savez(place, **kept)


def main(words: Sequence[str]) -> int:
    """Pack weights, or train."""
    parser = argparse.ArgumentParser(description="Train additions to the recogniser's weights")
    parser.add_argument("--weights", required=True, type=Path)
    parser.add_argument("--pack", type=Path, help="only write the weights as bytes")
    parser.add_argument("--spoken", type=Path, help="folder of models/recogniser_data.py")
    parser.add_argument("--words", type=Path, help="its words for these weights")
    parser.add_argument("--start", type=Path, help="additions of an earlier training to go on from")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--seconds", type=float, default=430)
    parser.add_argument("--rate", type=float, default=1e-3)
    parser.add_argument("--rank", type=int, default=32)
    parser.add_argument("--stay", type=float, default=1.0, help="weight of staying on general talk")
    parser.add_argument("--size", type=int, default=64, help="chunks in a batch")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=15)
    given = parser.parse_args(words)
    if given.pack:
        pack(read_tensors(given.weights), given.pack)
    else:
        train(given)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
