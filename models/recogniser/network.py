"""Whisper in PyTorch, from CTranslate2's tensors, with small trained additions to its matrices.

Decides: that a matrix W is used as W + B A, A (rank, in) and B (out, rank) trained, W left alone
(Hu et al. 2022, "LoRA: Low-rank adaptation of large language models"). B starts at 0, so the
untrained network is Whisper itself.
Conventions: names of layers are CTranslate2's; features are (runs, 80, 3000), tokens (runs, n).
Architecture: Radford et al. 2023, "Robust speech recognition via large-scale weak supervision".
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional as F  # noqa: N812

HEAD = 64
Tensors = Mapping[str, Any]


class Matrix(nn.Module):
    """A matrix with its bias, and what is added to it (not while `added` is False)."""

    added = True
    dropped = 0.05

    def __init__(self, tensors: Tensors, name: str, rank: int) -> None:
        super().__init__()
        self.register_buffer("weight", _tensor(tensors[f"{name}/weight"]), persistent=False)
        self.register_buffer("bias", _tensor(tensors[f"{name}/bias"]), persistent=False)
        out, into = self.weight.shape
        self.name = name
        self.down = nn.Parameter(torch.randn(rank, into) / into**0.5)
        self.up = nn.Parameter(torch.zeros(out, rank))

    def forward(self, x: Tensor) -> Tensor:
        plain = F.linear(x, self.weight, self.bias)
        if not self.added:
            return plain
        some = F.dropout(x, self.dropped, self.training)
        return plain + F.linear(F.linear(some, self.down), self.up)


class Norm(nn.Module):
    """A layer norm that is left as it is."""

    def __init__(self, tensors: Tensors, name: str) -> None:
        super().__init__()
        self.register_buffer("gamma", _tensor(tensors[f"{name}/gamma"]), persistent=False)
        self.register_buffer("beta", _tensor(tensors[f"{name}/beta"]), persistent=False)

    def forward(self, x: Tensor) -> Tensor:
        return F.layer_norm(x, self.gamma.shape, self.gamma, self.beta)


class Attention(nn.Module):
    """Self attention (three matrices in one) or attention to the sound (one, then two in one)."""

    def __init__(self, tensors: Tensors, name: str, rank: int, crossed: bool) -> None:
        super().__init__()
        self.norm = Norm(tensors, f"{name}/layer_norm")
        count = 3 if crossed else 2
        self.linear = nn.ModuleList(
            Matrix(tensors, f"{name}/linear_{n}", rank) for n in range(count)
        )

    def forward(self, x: Tensor, sound: Tensor | None = None, causal: bool = False) -> Tensor:
        normed = self.norm(x)
        if sound is None:
            q, k, v = self.linear[0](normed).chunk(3, dim=-1)
        else:
            q = self.linear[0](normed)
            k, v = self.linear[1](sound).chunk(2, dim=-1)
        q, k, v = (t.unflatten(-1, (-1, HEAD)).transpose(1, 2) for t in (q, k, v))
        seen = F.scaled_dot_product_attention(q, k, v, is_causal=causal)
        return x + self.linear[-1](seen.transpose(1, 2).flatten(2))


class Feed(nn.Module):
    def __init__(self, tensors: Tensors, name: str, rank: int) -> None:
        super().__init__()
        self.norm = Norm(tensors, f"{name}/layer_norm")
        self.linear = nn.ModuleList(Matrix(tensors, f"{name}/linear_{n}", rank) for n in range(2))

    def forward(self, x: Tensor) -> Tensor:
        return x + self.linear[1](F.gelu(self.linear[0](self.norm(x))))


class Layer(nn.Module):
    def __init__(self, tensors: Tensors, name: str, rank: int) -> None:
        super().__init__()
        self.own = Attention(tensors, f"{name}/self_attention", rank, crossed=False)
        crossed = f"{name}/attention/linear_0/weight" in tensors
        self.heard = (
            Attention(tensors, f"{name}/attention", rank, crossed=True) if crossed else None
        )
        self.feed = Feed(tensors, f"{name}/ffn", rank)

    def forward(self, x: Tensor, sound: Tensor | None = None) -> Tensor:
        x = self.own(x, causal=sound is not None)
        if self.heard is not None:
            x = self.heard(x, sound)
        return self.feed(x)


class Whisper(nn.Module):
    """The whole network; `rank` of what is added."""

    def __init__(self, tensors: Tensors, rank: int) -> None:
        super().__init__()
        for number in (1, 2):
            for part in ("weight", "bias"):
                self._hold(f"conv{number}_{part}", tensors[f"encoder/conv{number}/{part}"])
        self._hold("places", tensors["encoder/position_encodings/encodings"])
        self._hold("turns", tensors["decoder/position_encodings/encodings"])
        self._hold("words", tensors["decoder/embeddings/weight"])
        self.encoder = nn.ModuleList(_layers(tensors, "encoder", rank))
        self.decoder = nn.ModuleList(_layers(tensors, "decoder", rank))
        self.encoded = Norm(tensors, "encoder/layer_norm")
        self.decoded = Norm(tensors, "decoder/layer_norm")

    def _hold(self, name: str, tensor: Any) -> None:
        self.register_buffer(name, _tensor(tensor), persistent=False)

    def listen(self, features: Tensor) -> Tensor:
        x = F.gelu(F.conv1d(features, self.conv1_weight, self.conv1_bias, padding=1))
        x = F.gelu(F.conv1d(x, self.conv2_weight, self.conv2_bias, stride=2, padding=1))
        x = x.transpose(1, 2) + self.places
        for layer in self.encoder:
            x = layer(x)
        return self.encoded(x)

    def forward(self, features: Tensor, tokens: Tensor) -> Tensor:
        """What comes after each token: (runs, n, words), not yet probabilities."""
        sound = self.listen(features)
        x = F.embedding(tokens, self.words) + self.turns[: tokens.shape[1]]
        for layer in self.decoder:
            x = layer(x, sound)
        return F.linear(self.decoded(x), self.words)

    def untrained(self, features: Tensor, tokens: Tensor) -> Tensor:
        """What Whisper itself gives."""
        matrices = [m for m in self.modules() if isinstance(m, Matrix)]
        for matrix in matrices:
            matrix.added = False
        try:
            with torch.no_grad():
                return self(features, tokens)
        finally:
            for matrix in matrices:
                matrix.added = True

    def additions(self) -> dict[str, tuple[Tensor, Tensor]]:
        """What was trained: up (out, rank) and down (rank, in), by CTranslate2's name."""
        return {m.name: (m.up, m.down) for m in self.modules() if isinstance(m, Matrix)}


def _layers(tensors: Tensors, side: str, rank: int) -> list[Layer]:
    count = sum(name.endswith("self_attention/linear_0/weight") and name.startswith(side)
                for name in tensors)  # fmt: skip
    return [Layer(tensors, f"{side}/layer_{n}", rank) for n in range(count)]


def _tensor(array: Any) -> Tensor:
    return torch.tensor(np.asarray(array, dtype=np.float32))
