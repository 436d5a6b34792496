"""Weights of the recogniser with what was learnt of the talk of an inspection added to them.

Decides: that the published weights are never shipped changed: what ships are thin pairs of
matrices (models/train_recogniser.py), and the sum W + up down is made once on each machine, in a
folder of the cache, from weights and additions whose sums were checked.
Conventions: additions are a NumPy archive in half precision, ``NAME|up`` (out, rank) and
``NAME|down`` (rank, in) for the tensor ``NAME/weight``. The made file's own sum is written beside
it, because the last bit of a product may differ from one machine to another.
Public: `make_folder`, `made_whole`.
"""

from __future__ import annotations

import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import numpy as np

from walkgrade.speech.places import digest_of, write_whole
from walkgrade.speech.tensors import read_weights, write_weights

NOTE = "made.json"


def make_folder(upon: Path, additions: Path, target: Path) -> None:
    """Write the model `upon` with `additions` to the folder `target`.

    Raises
    ------
    ValueError : the additions do not fit the weights.
    OutputError : `target` cannot be written.
    """
    weights = read_weights(upon / "model.bin")
    for name, (up, down) in _pairs(additions).items():
        place = f"{name}/weight"
        tensor = weights.tensors.get(place)
        if tensor is None or tensor.shape != (up.shape[0], down.shape[1]):
            raise ValueError(f"{additions.name}: {name} does not fit the model")
        added = tensor.astype(np.float64) + up.astype(np.float64) @ down.astype(np.float64)
        weights.tensors[place] = added.astype(tensor.dtype)
    for file in upon.iterdir():
        if file.is_file() and file.suffix in (".json", ".txt"):
            write_whole(target / file.name, _copier(file))
    write_whole(target / "model.bin", lambda out: write_weights(weights, out))
    note = json.dumps({"model.bin": digest_of(target / "model.bin")}).encode()
    write_whole(target / NOTE, lambda out: out.write(note))


def made_whole(target: Path, sum_of: Callable[[Path], str]) -> bool:
    """True when `target` holds a made model that is as it was made."""
    try:
        note = json.loads((target / NOTE).read_text(encoding="utf-8"))
        return bool(note["model.bin"] == sum_of(target / "model.bin"))
    except (OSError, ValueError, KeyError, TypeError):
        return False


def _pairs(additions: Path) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    with np.load(io.BytesIO(additions.read_bytes())) as kept:
        names = [name.removesuffix("|up") for name in kept.files if name.endswith("|up")]
        return {name: (kept[f"{name}|up"], kept[f"{name}|down"]) for name in names}


def _copier(file: Path) -> Callable[[BinaryIO], object]:
    def copy(out: BinaryIO) -> None:
        with open(file, "rb") as source:
            shutil.copyfileobj(source, out)

    return copy
