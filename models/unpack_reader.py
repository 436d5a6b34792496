"""The shipped reader as weights that training can go on from.

    python models/unpack_reader.py --config FOLDER --base BASE --out READER.pt

Decides: nothing; int8 weights become the numbers they stand for. BASE becomes a folder that
`models/train_reader.py --base` takes (its weights are meaningless until `--begin READER.pt` replaces
them). FOLDER holds `config.json` of all-MiniLM-L6-v2. Needs PyTorch, transformers and onnx.
"""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from models.average_readers import CODES, numbers_of  # noqa: E402

READER = ROOT / "models" / "run_reader"
_HEAD = {"judge.0.weight": "w1", "judge.0.bias": "b1", "judge.3.weight": "w2", "judge.3.bias": "b2"}


def weights_of(
    encoder: Any, prefixes: tuple[str, ...] = ("encoder.", "pieces", "asks")
) -> dict[str, np.ndarray]:
    """Named weights of an ONNX encoder, as in the network: matrices are (out, in).

    What has none of the prefixes is a constant of the exported program.
    """
    from onnx import numpy_helper

    kept = {one.name: numpy_helper.to_array(one) for one in encoder.graph.initializer}
    maker = {name: node for node in encoder.graph.node for name in node.output}
    users: dict[str, list[Any]] = {}
    for node in encoder.graph.node:
        for name in node.input:
            users.setdefault(name, []).append(node)
    found = {
        name: array
        for name, array in kept.items()
        if name.startswith(prefixes) and array.dtype == np.float32 and not name.endswith("_scale")
    }
    for name in [n for n in kept if n.endswith(".weight" + CODES[0])]:
        base = name.removesuffix(CODES[0])
        found[base] = numbers_of(*(kept[base + end] for end in CODES))
    for node in encoder.graph.node:
        if node.op_type == "MatMulInteger":  # its weights have lost their name; the bias has not
            cast = users[node.output[0]][0]
            scaled = users[cast.output[0]][0]
            factor = next(name for name in scaled.input if name != cast.output[0])
            scale = next(name for name in maker[factor].input if name in kept)
            adds = next(n for n in users[scaled.output[0]] if n.op_type == "Add")
            bias = next(name for name in adds.input if name in kept)
            weight = numbers_of(kept[node.input[1]], kept[scale], kept[node.input[3]])
            found[bias.replace(".bias", ".weight")] = weight.T
    return found


def main(words: Sequence[str]) -> int:
    """Read the shipped reader, write its weights."""
    import onnx
    import torch
    from transformers import AutoConfig, AutoModel

    from models.reader.network import RunReader, load_encoder

    parser = argparse.ArgumentParser(description="Unpack the shipped reader")
    parser.add_argument("--config", type=Path, required=True)
    parser.add_argument("--base", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    args = parser.parse_args(words)
    found = weights_of(onnx.load(str(READER / "encoder.onnx")))
    head = np.load(READER / "head.npz")
    found |= {name: head[key].T if "weight" in name else head[key] for name, key in _HEAD.items()}
    vocab = (READER / "vocab.txt").read_text("utf-8").splitlines()
    config = AutoConfig.from_pretrained(args.config)
    config.vocab_size = len(vocab)
    AutoModel.from_config(config).save_pretrained(args.base)
    shutil.copy(READER / "vocab.txt", args.base)
    model = RunReader(load_encoder(args.base, vocab))
    state = model.state_dict()
    lost = [n for n in state if n not in found and "pooler" not in n and "position_ids" not in n]
    if lost:
        raise SystemExit(f"not in the shipped reader: {', '.join(lost)}")
    state |= {n: torch.from_numpy(found[n].copy()) for n in state if n in found}
    model.load_state_dict(state)
    torch.save(state, args.out)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
