"""The trained clause reader: a second opinion on what a clause asserts.

Decides: for a clause of words, how likely it asserts (or states the fault of) each condition it
was trained on. The weights, what they were trained on and how they were measured are described in
models/clauses/labels.json; models/train_clauses.py makes them.
Conventions: probabilities 0..1; clauses are lower-case words without punctuation. Every file is
checked against its sha256 before use.
Public: `ClauseReader`, `load_clause_reader`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from walkgrade.errors import ModelError


class ClauseReader(Protocol):
    """What `read` needs of a clause reader."""

    concepts: tuple[str, ...]

    def score(self, clauses: Sequence[str]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """Probabilities (clauses, concepts): of asserting the condition, of stating its fault."""
        ...


class _OnnxReader:
    """The shipped reader: a small encoder run by onnxruntime on the CPU."""

    def __init__(self, folder: Path, concepts: tuple[str, ...], length: int) -> None:
        import onnxruntime
        from tokenizers import BertWordPieceTokenizer

        self.concepts: tuple[str, ...] = concepts
        options = onnxruntime.SessionOptions()
        options.log_severity_level = 3
        self._session = onnxruntime.InferenceSession(
            str(folder / "clauses.onnx"), options, providers=["CPUExecutionProvider"]
        )
        self._pieces = BertWordPieceTokenizer(str(folder / "vocab.txt"), lowercase=True)
        self._pieces.enable_truncation(length)

    def score(self, clauses: Sequence[str]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """See `ClauseReader`. One clause a call: the int8 weights are scaled by what shares a call,
        so a clause's score would else hang on what other clauses were said."""
        count = len(self.concepts)
        scores = np.zeros((len(clauses), 2 * count), dtype=np.float32)
        for row, found in enumerate(self._pieces.encode_batch(list(clauses))):
            feed = {
                "input_ids": np.array([found.ids], dtype=np.int64),
                "attention_mask": np.array([found.attention_mask], dtype=np.int64),
            }
            logits = self._session.run(["logits"], feed)[0]
            scores[row] = 1.0 / (1.0 + np.exp(-logits[0]))
        return scores[:, :count], scores[:, count:]


def _folder() -> Path:
    """models/clauses of the source tree, or its copy in an installed package."""
    packaged = resources.files("walkgrade").joinpath("model_data", "clauses")
    if packaged.is_dir():
        return Path(str(packaged))
    return Path(__file__).resolve().parents[2] / "models" / "clauses"


@lru_cache(maxsize=1)
def load_clause_reader() -> ClauseReader:
    """The shipped clause reader, verified.

    Raises
    ------
    ModelError : ``M20`` when a file is missing, its sum is not the recorded one, or the
        description is damaged.
    """
    folder = _folder()
    try:
        body = json.loads((folder / "labels.json").read_text("utf-8"))
        sums = {n: hashlib.sha256((folder / n).read_bytes()).hexdigest() for n in body["sha256"]}
        concepts, length = tuple(map(str, body["concepts"])), int(body["length"])
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(
            "M20", f"The clause reader is not complete: {error}.", "Install walkgrade anew."
        ) from error
    wrong = [name for name, digest in sums.items() if digest != body["sha256"][name]]
    if wrong:
        raise ModelError(
            "M20",
            f"Damaged file of the clause reader: {', '.join(wrong)} in {folder}.",
            "Install walkgrade anew.",
        )
    return _OnnxReader(folder, concepts, length)
