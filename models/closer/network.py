"""The close reader's network: an encoder that reads an utterance and questions together.

Decides: who sees whom. The utterance with its surroundings (group 0) sees itself; a question (group
1, 2, ...) sees the utterance and itself. So answers do not depend on what else is asked, and the
utterance is read once for all of them.
Conventions: shapes (texts, pieces); `types` is 1 for the utterance's own pieces; a question begins
with [CLS], whose place gives its two logits, told and against. Groups of padding are -1.
Public: `CloseNetwork`, `seen`, `packed`, `unpacked`.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import torch
from torch import nn
from torch.nn import functional

WIDTH, HEADS, INNER, LAYERS, PLACES = 384, 12, 1536, 6, 512
_DROP = 0.1
_LARGE = 100_000  # numbers in a matrix from which on it is kept as int8

_OURS = (
    ("q", "attention.self.query"), ("k", "attention.self.key"), ("v", "attention.self.value"),
    ("o", "attention.output.dense"), ("n1", "attention.output.LayerNorm"),
    ("f1", "intermediate.dense"), ("f2", "output.dense"), ("n2", "output.LayerNorm"),
)  # fmt: skip


class _Layer(nn.Module):
    def __init__(self) -> None:
        super().__init__()
        self.q, self.k, self.v, self.o = (nn.Linear(WIDTH, WIDTH) for _ in range(4))
        self.n1, self.n2 = (nn.LayerNorm(WIDTH, eps=1e-12) for _ in range(2))
        self.f1, self.f2 = nn.Linear(WIDTH, INNER), nn.Linear(INNER, WIDTH)
        self.drop = nn.Dropout(_DROP)

    def forward(self, x: torch.Tensor, mask: torch.Tensor) -> torch.Tensor:
        n, t, _ = x.shape
        q, k, v = (
            one(x).view(n, t, HEADS, WIDTH // HEADS).transpose(1, 2)
            for one in (self.q, self.k, self.v)
        )
        if torch.onnx.is_in_onnx_export():
            match = q @ k.transpose(-1, -2) * (WIDTH // HEADS) ** -0.5
            found = (match + (1 - mask.float()) * -1e4).softmax(-1) @ v
        else:
            drop = _DROP if self.training else 0.0
            found = functional.scaled_dot_product_attention(q, k, v, attn_mask=mask, dropout_p=drop)
        x = self.n1(x + self.drop(self.o(found.transpose(1, 2).reshape(n, t, WIDTH))))
        y: torch.Tensor = self.n2(x + self.drop(self.f2(functional.gelu(self.f1(x)))))
        return y


class CloseNetwork(nn.Module):
    """The encoder, and two logits for every piece."""

    def __init__(self, vocab: int) -> None:
        super().__init__()
        self.words, self.places = nn.Embedding(vocab, WIDTH), nn.Embedding(PLACES, WIDTH)
        self.types = nn.Embedding(2, WIDTH)
        self.n0, self.drop = nn.LayerNorm(WIDTH, eps=1e-12), nn.Dropout(_DROP)
        self.layers = nn.ModuleList(_Layer() for _ in range(LAYERS))
        self.out = nn.Linear(WIDTH, 2)
        nn.init.constant_(self.out.bias, -1.0)

    def forward(
        self, ids: torch.Tensor, types: torch.Tensor, places: torch.Tensor, mask: torch.Tensor
    ) -> torch.Tensor:
        """Logits (texts, pieces, 2)."""
        x = self.drop(self.n0(self.words(ids) + self.places(places) + self.types(types)))
        for layer in self.layers:
            x = layer(x, mask)
        found: torch.Tensor = self.out(x)
        return found

    def begin_from(self, encoder: Mapping[str, np.ndarray]) -> None:
        """Take over the weights of the run reader's encoder (models/unpack_reader.py)."""
        told = {
            "words.weight": "embeddings.word_embeddings.weight",
            "places.weight": "embeddings.position_embeddings.weight",
            "types.weight": "embeddings.token_type_embeddings.weight",
            "n0.weight": "embeddings.LayerNorm.weight", "n0.bias": "embeddings.LayerNorm.bias",
        }  # fmt: skip
        for n in range(LAYERS):
            for mine, theirs in _OURS:
                for end in ("weight", "bias"):
                    told[f"layers.{n}.{mine}.{end}"] = f"encoder.layer.{n}.{theirs}.{end}"
        state = self.state_dict()
        for mine, theirs in told.items():
            state[mine] = torch.from_numpy(encoder[f"encoder.{theirs}"].astype(np.float32).copy())
        self.load_state_dict(state)


def seen(groups: torch.Tensor, *, padded: bool = True) -> torch.Tensor:
    """(texts, 1, pieces, pieces): whether a piece sees another; padding sees itself alone."""
    mine, other = groups[:, :, None], groups[:, None, :]
    open_to = (mine == other) | (other == 0)
    if padded:
        itself = torch.eye(groups.shape[1], dtype=torch.bool, device=groups.device)
        open_to = (open_to & (mine >= 0) & (other >= 0)) | itself
    return open_to[:, None]


def packed(state: Mapping[str, torch.Tensor]) -> dict[str, np.ndarray]:
    """Weights as int8 with a scale for each row, a quarter of their size."""
    found: dict[str, np.ndarray] = {}
    for name, tensor in state.items():
        value = tensor.detach().float().cpu().numpy()
        if value.ndim == 2 and value.size > _LARGE:
            scale = np.maximum(np.abs(value).max(1, keepdims=True), 1e-8) / 127
            found[name + "|q"] = np.round(value / scale).astype(np.int8)
            found[name + "|s"] = scale.astype(np.float32)
        else:
            found[name] = value
    return found


def unpacked(place: Path) -> dict[str, torch.Tensor]:
    """What `packed` made, from a file."""
    body, found = np.load(place), {}
    for name in body.files:
        if name.endswith("|q"):
            base = name[:-2]
            found[base] = torch.from_numpy(body[name].astype(np.float32) * body[base + "|s"])
        elif not name.endswith("|s"):
            found[name] = torch.from_numpy(body[name])
    return found
