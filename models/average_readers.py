"""Average the weights of several readers, which then get less wrong than each of them.

    python models/average_readers.py --out DIR 0.15:A 0.2:B 0.15:C 0.5:D

Decides: how weights kept as int8 are averaged (as the numbers they stand for, then rounded anew).
Readers must have begun one from another; apart they have nothing in common to average. A, B ... are
folders with `encoder.onnx` and `head.npz` as models/train_reader.py writes them; shares add up to 1.
Source: Wortsman et al. 2022, "Model soups: averaging weights of multiple fine-tuned models improves
accuracy without increasing inference time". Needs the package onnx. Then models/keep_questions.py
and models/fit_judge.py.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

CODES = "_quantized", "_scale", "_zero_point"
_MOST, _CODES = 127, 255  # of int8 on both sides, of uint8


def numbers_of(
    codes: np.ndarray, scale: np.ndarray, zero: np.ndarray, share: float = 1.0
) -> np.ndarray:
    """The weights that codes stand for, or a share of them."""
    return share * (codes.astype(np.float32) - zero.astype(np.float32)) * scale


def mean_codes(
    shares: Sequence[float], parts: Sequence[tuple[np.ndarray, np.ndarray, np.ndarray]]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The mean of (codes, scale, zero point), where a weight is (code - zero) scale.

    Codes are int8 with one scale for each last place (their mean has zero points of 0), or uint8
    with one for all; the mean is of the same kind and shapes.
    """
    whole = sum(numbers_of(*part, share) for share, part in zip(shares, parts, strict=True))
    _, old, nought = parts[0]
    if parts[0][0].dtype == np.uint8:
        low, high = min(float(np.min(whole)), 0.0), max(float(np.max(whole)), 0.0)
        step = (high - low) / _CODES or 1.0
        start = round(-low / step)
        codes = np.clip(np.round(whole / step) + start, 0, _CODES).astype(np.uint8)
        return codes, np.full_like(old, step), np.full_like(nought, start)
    most = np.abs(whole).reshape(-1, old.size).max(0).reshape(old.shape)
    scale = np.where(most == 0, 1.0, most / _MOST).astype(np.float32)
    codes = np.clip(np.round(whole / scale), -_MOST, _MOST).astype(np.int8)
    return codes, scale, np.zeros_like(nought)


def mean_of(shares: Sequence[float], all_of: Sequence[Mapping[str, Any]]) -> dict[str, np.ndarray]:
    """The mean of named arrays; int8 weights come in three, named alike but for `CODES`."""
    made: dict[str, np.ndarray] = {}
    for name in all_of[0]:
        base = name.removesuffix(CODES[0])
        if base != name:
            parts = [tuple(one[base + end] for end in CODES) for one in all_of]
            found = mean_codes(shares, parts)  # type: ignore[arg-type]
            made.update({base + end: value for end, value in zip(CODES, found, strict=True)})
        elif all_of[0][name].dtype == np.float32 and not name.endswith(CODES[1:]):
            both = zip(shares, all_of, strict=True)
            made[name] = sum(share * one[name] for share, one in both).astype(np.float32)  # type: ignore[union-attr]
    return made


def average(shares: Sequence[float], folders: Sequence[Path], out: Path) -> None:
    """Write the mean of the readers in `folders` to the folder `out`."""
    import onnx
    from onnx import numpy_helper

    encoders = [onnx.load(str(folder / "encoder.onnx")) for folder in folders]
    named = [{i.name: numpy_helper.to_array(i) for i in e.graph.initializer} for e in encoders]
    made = mean_of(shares, named)
    for kept in encoders[0].graph.initializer:
        if kept.name in made:
            array = np.ascontiguousarray(made[kept.name])
            kept.CopyFrom(numpy_helper.from_array(array, kept.name))
    out.mkdir(parents=True, exist_ok=True)
    onnx.save(encoders[0], str(out / "encoder.onnx"))
    heads = [dict(np.load(folder / "head.npz")) for folder in folders]
    np.savez(out / "head.npz", **mean_of(shares, heads))  # type: ignore[arg-type]


def main(words: Sequence[str]) -> int:
    """Read shares and folders, average, write."""
    parser = argparse.ArgumentParser(description="Average readers")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("readers", nargs="+", metavar="SHARE:DIR")
    args = parser.parse_args(words)
    pairs = [reader.split(":", 1) for reader in args.readers]
    shares = [float(share) for share, _ in pairs]
    if abs(sum(shares) - 1) > 1e-6:
        parser.error(f"shares add up to {sum(shares):g}, they must add up to 1")
    average(shares, [Path(folder) for _, folder in pairs], args.out)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
