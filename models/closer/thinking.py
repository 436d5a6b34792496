"""What a close reader makes of retold lines before it learns from them.

Decides: a retold line was never read by the run reader; which of its utterances answers a question,
and what one might think it answers, is taken from the close reader that the learning begins with.
Public: `think`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import torch

from models.closer.asking import Asked, Run
from models.closer.learning import scored
from models.closer.network import CloseNetwork
from models.closer.pairs import Pairs, Text, tensors

_TEXTS = 48  # read at once
_LEAST = 0.01  # thoughts below are none


def think(model: CloseNetwork, runs: Sequence[Run], pairs: Pairs) -> None:
    """Fill in `thought` of every run: [utterance, question, told, against]."""
    was = model.training
    model.eval()
    texts = list(_texts(runs, pairs))
    for run in runs:
        run["thought"] = []
    with torch.no_grad():
        for start in range(0, len(texts), _TEXTS):
            some = texts[start : start + _TEXTS]
            logits, _ = scored(model, tensors([text for _, text in some], pairs.word.pad))
            chances = iter(torch.sigmoid(logits).tolist())
            for run, text in some:
                for asked in text.asked:
                    told, against = next(chances)
                    if max(told, against) >= _LEAST:
                        run["thought"].append([text.row, asked.question, told, against])
    model.train(was)


def _texts(runs: Sequence[Run], pairs: Pairs) -> Iterator[tuple[Run, Text]]:
    for run in runs:
        told = {q for q in run["asked"] if pairs.rows[q]["kind"] == "told"}
        for bag in run["bags"]:
            maybe = sorted({*run["maybe"], *bag["said"], *bag["against"]} & told)
            asked = [Asked(q, 0.0, 0.0, 0.0, 0.0) for q in maybe]
            for text in pairs.plain(run, [(u, asked) for u in bag["u"]] if asked else []):
                yield run, text
