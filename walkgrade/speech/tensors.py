"""The file of weights that CTranslate2 loads: read it and write it.

Decides: nothing; the layout is CTranslate2's own (`ctranslate2/specs/model_spec.py`, binary
version 6): a head, the tensors by name, the names that stand for another tensor.
Conventions: little-endian; a text is its length in bytes with the closing zero (two bytes), then
the bytes. Read and written again, a file is the same bit for bit.
Public: `Weights`, `read_weights`, `write_weights`.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

VERSION = 6
_TYPES = (np.float32, np.int8, np.int16, np.int32, np.float16)
"""By CTranslate2's number of the type; what comes after (bfloat16) NumPy does not have."""


@dataclass(slots=True, kw_only=True)
class Weights:
    """All of a model file: `tensors` in the file's order, `aliases` as (name, stands for)."""

    spec: str
    revision: int
    tensors: dict[str, NDArray[Any]] = field(default_factory=dict)
    aliases: list[tuple[str, str]] = field(default_factory=list)


def read_weights(place: Path) -> Weights:
    """Read a ``model.bin``.

    Raises
    ------
    ValueError : another binary version, a type NumPy lacks, or a file that ends too early.
    """
    with open(place, "rb") as file:
        return _read(file)


def _read(file: BinaryIO) -> Weights:
    version = _number(file, "I")
    if version != VERSION:
        raise ValueError(f"binary version {version}; this reads version {VERSION}")
    weights = Weights(spec=_text(file), revision=_number(file, "I"))
    for _ in range(_number(file, "I")):
        name = _text(file)
        rank = _number(file, "B")
        shape = struct.unpack(f"<{rank}I", _take(file, 4 * rank))
        kind, size = _number(file, "B"), _number(file, "I")
        if kind >= len(_TYPES):
            raise ValueError(f"tensor {name!r} is of type {kind}; known: 0 to {len(_TYPES) - 1}")
        weights.tensors[name] = np.frombuffer(_take(file, size), _TYPES[kind]).reshape(shape)
    for _ in range(_number(file, "I")):
        weights.aliases.append((_text(file), _text(file)))
    return weights


def write_weights(weights: Weights, file: BinaryIO) -> None:
    """Write a ``model.bin`` to an open file."""
    file.write(struct.pack("<I", VERSION))
    _put_text(file, weights.spec)
    file.write(struct.pack("<II", weights.revision, len(weights.tensors)))
    for name, tensor in weights.tensors.items():
        _put_text(file, name)
        kind = _TYPES.index(tensor.dtype.type)
        file.write(struct.pack(f"<B{tensor.ndim}IBI", tensor.ndim, *tensor.shape, kind,
                               tensor.nbytes))  # fmt: skip
        file.write(tensor.tobytes())
    file.write(struct.pack("<I", len(weights.aliases)))
    for pair in weights.aliases:
        for name in pair:
            _put_text(file, name)


def _take(file: BinaryIO, size: int) -> bytes:
    data = file.read(size)
    if len(data) != size:
        raise ValueError(f"the file ends too early: {size} bytes wanted, {len(data)} there")
    return data


def _number(file: BinaryIO, kind: str) -> int:
    (number,) = struct.unpack(f"<{kind}", _take(file, struct.calcsize(kind)))
    return int(number)


def _text(file: BinaryIO) -> str:
    return _take(file, _number(file, "H")).rstrip(b"\0").decode()


def _put_text(file: BinaryIO, text: str) -> None:
    data = text.encode() + b"\0"
    file.write(struct.pack("<H", len(data)) + data)
