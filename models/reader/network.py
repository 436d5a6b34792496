"""The run reader's network, and encoders to begin from.

Decides: how a question looks over the pieces of an utterance, and how encoders of another
vocabulary are fitted to ours. walkgrade/language/run_reader.py does the same sums with numpy.
Conventions: truth is (batch, question, utterance, side); sides are TOLD and AGAINST.
Public: `RunReader`, `load_encoder`.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import torch
from torch import nn
from transformers import AutoModel

HEADS, WIDTH, HIDDEN = 6, 32, 96
SIZE = HEADS * WIDTH
TOLD, AGAINST = 0, 1
STEPS = (8, 24, 161)
"""Spans of like length are looked at together, up to so many pieces."""
NOTHING = -30.0

_SPECIAL = {"[PAD]": "<pad>", "[CLS]": "<s>", "[SEP]": "</s>", "[MASK]": "<mask>"}


class RunReader(nn.Module):
    """Encoder with keys and values for pieces, looks for questions, and the judging layer.

    A question is three texts: whole, part alone, and what must be said alone; the heads of each
    look by themselves, so that what is said and of what are weighed apart as well as together.
    """

    def __init__(self, encoder: nn.Module) -> None:
        super().__init__()
        width = int(encoder.config.hidden_size)  # type: ignore[union-attr,arg-type]
        self.encoder = encoder
        self.whole = False  # True: texts are never padded, as when walkgrade reads
        self.pieces = nn.Linear(width, 2 * SIZE)
        self.asks = nn.Linear(width, 2 * SIZE)
        self.judge = nn.Sequential(
            nn.Linear(3 * SIZE + 3 * HEADS, HIDDEN),
            nn.ReLU(),
            nn.Dropout(0.15),
            nn.Linear(HIDDEN, 2),
        )
        nn.init.constant_(self.judge[3].bias, -4.0)

    def forward(self, ids: torch.Tensor, mask: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """(n, t, 2 SIZE) for pieces and (n, 2 SIZE) for questions, of the same texts."""
        seen = None if self.whole else mask
        hidden = self.encoder(input_ids=ids, attention_mask=seen).last_hidden_state
        part = mask.unsqueeze(-1).to(hidden.dtype)
        pooled = (hidden * part).sum(1) / part.sum(1).clamp(min=1)
        return self.pieces(hidden), self.asks(pooled)

    def score(
        self,
        pieces: torch.Tensor,
        seen: torch.Tensor,
        asks: torch.Tensor,
        which: torch.Tensor,
        spans: torch.Tensor,
        lengths: Sequence[int],
    ) -> torch.Tensor:
        """Logits (batch, question, utterance, 2); of no utterance `NOTHING`.

        seen (batch, pieces) is 1 where there is a piece; asks (texts, 2 SIZE) with `which`
        (question, 3) numbers of its three texts, each of which has a third of the heads; spans (n,
        4) are batch, utterance, first and last piece, shortest first, and `lengths` how many are of
        each of `STEPS`. Only the pieces of an utterance are matched for it: most of a stretch is
        others.
        """
        keys, values = pieces[..., :SIZE], pieces[..., SIZE:]
        third = SIZE // 3
        looks, wants = (
            torch.cat(
                [asks[which[:, n], at + n * third : at + (n + 1) * third] for n in range(3)], -1
            )
            for at in (0, SIZE)
        )
        looks = looks.view(-1, HEADS, WIDTH) / WIDTH**0.5
        part = seen.unsqueeze(-1).to(keys.dtype)
        mean = (keys * part).sum(1) / part.sum(1).clamp(min=1)
        mean = torch.einsum("bhw,qhw->bqh", mean.view(-1, HEADS, WIDTH), looks)
        judged = self._ready(wants)
        found, first = [], 0
        for step, count in zip(STEPS, lengths, strict=True):
            if count:
                mine = spans[first : first + count]
                glance, best = _look(keys, values, looks, mine, step)
                found.append(self._judged(glance, best, mean[mine[:, 0]], judged))
                first += count
        logits = pieces.new_full((len(pieces), int(spans[:, 1].max()) + 1, len(which), 2), NOTHING)
        logits[spans[:, 0], spans[:, 1]] = torch.cat(found)
        return logits.transpose(1, 2)

    def _ready(self, wants: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """The judging layer made ready for each question: weights (question, SIZE, HIDDEN) of what
        it sees, and what it begins with (question, HIDDEN)."""
        layer = self.judge[0]
        seen, want, both = layer.weight[:, : 3 * SIZE].split(SIZE, 1)  # type: ignore[union-attr,operator]
        weights = seen.t()[None] + wants[:, :, None] * both.t()[None]
        return weights, nn.functional.linear(wants, want, layer.bias)  # type: ignore[arg-type]

    def _judged(
        self,
        glance: torch.Tensor,
        best: torch.Tensor,
        mean: torch.Tensor,
        ready: tuple[torch.Tensor, torch.Tensor],
    ) -> torch.Tensor:
        """Logits (span, question, 2) of glance (question, span, SIZE), best and mean (span,
        question, HEADS)."""
        weights, start = ready
        half = torch.bfloat16 if glance.is_cuda else glance.dtype
        hidden = torch.bmm(glance.to(half), weights.to(half)).transpose(0, 1).to(best.dtype)
        rest = torch.cat([best, best - mean, torch.tanh(best)], -1)
        hidden = hidden + start + nn.functional.linear(rest, self.judge[0].weight[:, 3 * SIZE :])
        for layer in list(self.judge)[1:]:
            hidden = layer(hidden)
        return hidden


def _look(
    keys: torch.Tensor, values: torch.Tensor, looks: torch.Tensor, spans: torch.Tensor, step: int
) -> tuple[torch.Tensor, torch.Tensor]:
    """What each question sees in spans of at most `step` pieces (question, span, SIZE), and how
    well it fits there at best (span, question, HEADS)."""
    at = spans[:, 2:3] + torch.arange(step, device=spans.device)
    inside = at < spans[:, 3:4]
    at = at.clamp(max=keys.shape[1] - 1)
    mine, theirs = (
        x[spans[:, :1], at].view(len(spans), step, HEADS, WIDTH) for x in (keys, values)
    )
    match = torch.einsum("nshw,qhw->nhqs", mine, looks)
    match = match.masked_fill(~inside[:, None, None, :], -1e4)
    half = torch.bfloat16 if keys.is_cuda else keys.dtype
    glance = torch.einsum("nhqs,nshw->qnhw", match.softmax(-1).to(half), theirs.to(half))
    return glance.flatten(2), match.amax(-1).transpose(1, 2)


def load_encoder(folder: Path, vocab: list[str]) -> nn.Module:
    """A pretrained encoder whose word pieces are put into the order of `vocab`.

    Raises
    ------
    KeyError : a piece of `vocab` is unknown to the encoder.
    """
    model = AutoModel.from_pretrained(folder).float()
    pieces = (folder / "vocab.txt").read_text("utf-8").splitlines()
    known = {piece: row for row, piece in enumerate(pieces)}
    rows = [known[_SPECIAL[p] if _SPECIAL.get(p) in known else p] for p in vocab]
    if rows != list(range(model.embeddings.word_embeddings.num_embeddings)):
        old = model.embeddings.word_embeddings.weight.detach()
        model.embeddings.word_embeddings = nn.Embedding.from_pretrained(old[rows], freeze=False)
        model.config.vocab_size = len(rows)
    return model
