"""The trained reader as the files that walkgrade ships.

Public: `export`, `sum_of`.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import numpy as np
import torch
from onnxruntime.quantization import QuantType, quantize_dynamic

from models.reader.network import HEADS, WIDTH, RunReader
from models.reader.wording import CHUNK, CONTEXT, QUESTION


def sum_of(path: Path) -> str:
    """sha256 of a file."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def export(model: RunReader, folder: Path, vocab: str, told: dict[str, Any]) -> None:
    """encoder.onnx with int8 weights, head.npz, vocab.txt, and reader.json with sums and `told`."""
    model = model.cpu().float().eval()
    model.whole = True  # a mask costs a sixth of the encoder's time
    (folder / "vocab.txt").write_text(vocab, "utf-8")
    full = folder / "full.onnx"
    example = (torch.ones(2, 8, dtype=torch.long), torch.ones(2, 8, dtype=torch.long))
    axes = {0: "n", 1: "t"}
    torch.onnx.export(
        model, example, str(full), input_names=["input_ids", "attention_mask"],
        output_names=["pieces", "asks"], opset_version=17, dynamo=False,
        dynamic_axes={"input_ids": axes, "attention_mask": axes, "pieces": axes, "asks": {0: "n"}},
    )  # fmt: skip
    target = str(folder / "encoder.onnx")
    quantize_dynamic(str(full), target, weight_type=QuantType.QInt8, per_channel=True)
    full.unlink()
    first, last = model.judge[0], model.judge[3]
    head = {"w1": first.weight.T, "b1": first.bias, "w2": last.weight.T, "b2": last.bias}
    np.savez(
        folder / "head.npz",
        **{name: value.detach().numpy().astype(np.float32) for name, value in head.items()},
    )
    files = ("encoder.onnx", "head.npz", "vocab.txt")
    body = {
        "format": 1, "chunk": CHUNK, "context": CONTEXT, "question": QUESTION, "heads": HEADS,
        "width": WIDTH, **told, "sha256": {name: sum_of(folder / name) for name in files},
    }  # fmt: skip
    (folder / "reader.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")
