"""The recogniser's weights to train on: from its folder, or packed into bytes to be sent away.

Decides: one byte and one scale for each row of a matrix, as CTranslate2 does when it runs them.
Public: `read_tensors`, `pack`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from walkgrade.speech.tensors import read_weights

_SCALE = "|scale"


def read_tensors(place: Path) -> dict[str, Any]:
    """The tensors by name, from a folder with ``model.bin`` or from a packed file."""
    if place.is_dir():
        return dict(read_weights(place / "model.bin").tensors)
    with np.load(place) as packed:
        return {
            name: packed[name].astype(np.float32) * packed[name + _SCALE]
            if name + _SCALE in packed
            else packed[name]
            for name in packed.files
            if not name.endswith(_SCALE)
        }


def pack(tensors: dict[str, Any], place: Path) -> None:
    """Write matrices as bytes; what is one number or a row, and places in time, stay whole."""
    kept: dict[str, Any] = {}
    for name, tensor in tensors.items():
        if tensor.ndim < 2 or "position" in name:
            kept[name] = tensor
            continue
        wide = tensor.astype(np.float32)
        scale = np.abs(wide).max(axis=tuple(range(1, wide.ndim)), keepdims=True) / 127 + 1e-12
        kept[name] = np.round(wide / scale).astype(np.int8)
        kept[name + _SCALE] = scale.astype(np.float32)
    np.savez_compressed(place, **kept)
