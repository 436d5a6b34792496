"""The item reader's network: what it begins with, and the files that walkgrade ships.

Decides: the network is the close reader's, every piece of a sheet sees every other, and a
statement's log odds are the first output at its mark. Shipped as int8.
Conventions: kept networks are files as models/closer/network.py packs them.
Public: `export`, `network`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from pathlib import Path

import torch
from torch import nn

from models.closer.network import CloseNetwork, unpacked
from models.items.sheets import RECIPE

_SPREAD = 0.02  # of a last layer's first weights
_BASE = "the close reader's encoder (models/close_reader)"


class _Shipped(nn.Module):
    """The network as walkgrade calls it: one sheet, never padded, told alone."""

    def __init__(self, model: CloseNetwork) -> None:
        super().__init__()
        self.model = model

    def forward(self, ids: torch.Tensor, types: torch.Tensor) -> torch.Tensor:
        places = torch.arange(ids.shape[1])[None].expand_as(ids)
        found: torch.Tensor = self.model(ids, types, places, torch.ones_like(ids)[:, None, None, :])
        return found[:, :, :1]


def network(begin: Path, vocab: Path) -> CloseNetwork:
    """A kept network (.npz) to go on from, or the shipped close reader's (.onnx) with its last
    layer begun anew: a statement asks something else than a question of one line."""
    model = CloseNetwork(len(vocab.read_text("utf-8").splitlines()))
    if begin.suffix == ".npz":
        model.load_state_dict(unpacked(begin))
        return model
    import onnx

    from models.unpack_reader import weights_of

    found = weights_of(onnx.load(str(begin)), ("model.",))
    model.load_state_dict(
        {name.removeprefix("model."): torch.from_numpy(one.copy()) for name, one in found.items()}
    )
    nn.init.normal_(model.out.weight, std=_SPREAD)
    nn.init.zeros_(model.out.bias)
    return model


def export(shares: Sequence[str], vocab: Path, folder: Path) -> None:
    """Write the mean of kept networks, each as ``share:file``, as encoder.onnx and reader.json.

    The encoder takes ids and types (n, t) as int64 and gives logits (n, t, 1). The networks must
    have begun one from another or from the same one.

    Raises
    ------
    SystemExit : the shares do not add up to 1.
    """
    parts = [(float(share), Path(place)) for share, place in (one.split(":", 1) for one in shares)]
    if abs(sum(share for share, _ in parts) - 1.0) > 1e-6:
        raise SystemExit(f"The shares are {[share for share, _ in parts]}; they must add up to 1.")
    model = network(parts[0][1], vocab)
    state = {name: torch.zeros_like(value) for name, value in model.state_dict().items()}
    for share, place in parts:
        for name, value in unpacked(place).items():
            state[name] += share * value
    model.load_state_dict(state)
    folder.mkdir(exist_ok=True)
    target = folder / "encoder.onnx"
    _write(model, target)
    body = {
        "format": 1, **RECIPE, "base": _BASE,
        "averaged": {place.stem: share for share, place in parts},
        "sha256": {target.name: hashlib.sha256(target.read_bytes()).hexdigest()},
    }  # fmt: skip
    (folder / "reader.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")


def _write(model: CloseNetwork, target: Path) -> None:
    from onnxruntime.quantization import QuantType, quantize_dynamic

    ids = torch.arange(12)[None] + 5
    full = target.with_name("full.onnx")
    torch.onnx.export(
        _Shipped(model).eval(), (ids, torch.zeros_like(ids)), str(full),
        input_names=["ids", "types"], output_names=["logits"],
        dynamic_axes={name: {0: "n", 1: "t"} for name in ("ids", "types", "logits")},
        opset_version=17, dynamo=False,
    )  # fmt: skip
    quantize_dynamic(str(full), str(target), weight_type=QuantType.QInt8, per_channel=True)
    full.unlink()
