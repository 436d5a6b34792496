"""The run reader's network, and encoders to begin from.

Decides: how a question looks over the pieces of an utterance, and how encoders of another
vocabulary are fitted to ours. walkgrade/language/run_reader.py does the same sums with numpy.
Conventions: spans and truth are (batch, question, utterance, side); sides are TOLD and AGAINST.
Public: `RunReader`, `load_encoder`.
"""

from __future__ import annotations

from pathlib import Path

import torch
from torch import nn
from transformers import AutoModel

HEADS, WIDTH, HIDDEN = 6, 32, 96
SIZE = HEADS * WIDTH
TOLD, AGAINST = 0, 1

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
        self, pieces: torch.Tensor, asks: torch.Tensor, which: torch.Tensor, spans: torch.Tensor
    ) -> torch.Tensor:
        """Logits (batch, question, utterance, 2).

        asks (texts, 2 SIZE) with `which` (question, 3) numbers of its three texts; spans (batch,
        utterance, piece) of 0 and 1. Each third of the heads serves one of the texts.
        """
        keys, values = pieces[..., :SIZE], pieces[..., SIZE:]
        third = SIZE // 3
        looks, wants = (
            torch.cat(
                [asks[which[:, n], at + n * third : at + (n + 1) * third] for n in range(3)], -1
            )
            for at in (0, SIZE)
        )
        shape = (*keys.shape[:2], HEADS, WIDTH)
        match = torch.einsum("bthw,qhw->bhqt", keys.view(shape), looks.view(-1, HEADS, WIDTH))
        match = match / WIDTH**0.5
        weight = torch.exp((match - match.amax(-1, keepdim=True)).clamp(min=-60))
        total = torch.einsum("bhqt,but->bhqu", weight, spans)
        half = torch.bfloat16 if weight.is_cuda else weight.dtype
        spread = torch.einsum(
            "bhqt,but,bthw->bquhw", weight.to(half), spans.to(half), values.view(shape).to(half)
        ).to(weight.dtype)
        seen = (spread / total.permute(0, 2, 3, 1).clamp(min=1e-9).unsqueeze(-1)).flatten(3)
        want = wants.view(1, -1, 1, SIZE).expand(seen.shape[0], -1, seen.shape[2], -1)
        blocked = (1 - spans).unsqueeze(1) * 1e4
        best = torch.stack(
            [(match[:, h].unsqueeze(2) - blocked).amax(-1) for h in range(HEADS)], -1
        )
        mean = (match.sum(-1) / match.shape[-1]).permute(0, 2, 1).unsqueeze(2).expand_as(best)
        rest = [best, best - mean, torch.tanh(best)]
        return self.judge(torch.cat([seen, want, seen * want, *rest], -1))


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
