"""Learning of the close reader.

Decides: the loss, the rates (rising for 6 % of the time, then falling as a cosine to a quarter), and
that the weights kept are the mean over the later steps (Izmailov et al. 2018, "Averaging Weights
Leads to Wider Optima and Better Generalization").
Public: `Batches`, `batched`, `height`, `learn`, `scored`.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Protocol, TypeVar

import torch
from torch import nn
from torch.nn import functional
from torch.optim.swa_utils import AveragedModel

from models.closer.network import CloseNetwork, seen
from models.closer.pairs import Pairs, tensors

_RISE, _LEFT = 0.06, 0.25
_SETTLED, _EVERY = 0.4, 10
_RUNS = 12  # cut and shuffled at once
_RETOLD = 2  # how often a retold line comes for each time that a run does
_NEW = ("out", "types")  # what the run reader's encoder does not bring along

torch.backends.cuda.enable_cudnn_sdp(False)  # it seems to plan anew for every new shape


class _Text(Protocol):
    @property
    def size(self) -> int: ...


Sized = TypeVar("Sized", bound=_Text)


class Batches(torch.utils.data.IterableDataset[tuple[torch.Tensor, ...]]):
    """Batches without end, of texts of like length and at most so many pieces."""

    def __init__(
        self, data: dict[str, Any], vocab: Path, slips: dict[str, list[str]], seed: int, pieces: int
    ) -> None:
        self.data, self.vocab, self.slips, self.seed, self.pieces = data, vocab, slips, seed, pieces

    def __iter__(self) -> Iterator[tuple[torch.Tensor, ...]]:
        torch.set_num_threads(1)
        worker = torch.utils.data.get_worker_info()
        seed = self.seed * 1000 + (worker.id if worker else 0)
        pairs = Pairs(self.data["questions"], self.vocab, self.slips, seed)
        runs, retold = self.data["tune"], self.data["retold"]
        also = min(len(retold), _RETOLD * _RUNS * len(retold) // len(runs))
        while True:
            some = pairs.rng.sample(runs, min(_RUNS, len(runs))) + pairs.rng.sample(retold, also)
            texts = [text for run in some for text in pairs.learnt(run)]
            for batch in batched(texts, self.pieces, pairs.rng):
                yield tensors(batch, pairs.word.pad)


def batched(texts: list[Sized], pieces: int, rng: random.Random) -> list[list[Sized]]:
    """Texts of like length together, at most so many pieces in a batch."""
    texts.sort(key=lambda text: text.size + rng.random() * 12)
    found: list[list[Sized]] = [[]]
    for text in texts:
        if found[-1] and text.size * (len(found[-1]) + 1) > pieces:
            found.append([])
        found[-1].append(text)
    rng.shuffle(found)
    return [batch for batch in found if batch]


def scored(model: CloseNetwork, batch: Sequence[torch.Tensor]) -> tuple[torch.Tensor, torch.Tensor]:
    """Logits (questions, 2), and truth and weights (questions, 4)."""
    device = next(model.parameters()).device
    ids, types, places, groups, heads, truth = (x.to(device, non_blocking=True) for x in batch)
    cuda = device.type == "cuda"
    with torch.autocast(device.type, dtype=torch.bfloat16, enabled=cuda):
        logits = model(ids, types, places, seen(groups))
    return logits[heads[:, 0], heads[:, 1]].float(), truth


def learn(
    model: CloseNetwork, batches: Batches, *, seconds: float, rate: float, workers: int, fresh: bool
) -> int:
    """Learn for so long; how many steps. `fresh`: what the encoder did not bring learns faster."""
    cuda = next(model.parameters()).is_cuda
    new = [p for n, p in model.named_parameters() if n.startswith(_NEW)]
    old = [p for n, p in model.named_parameters() if not n.startswith(_NEW)]
    groups = [{"params": old, "lr": rate}, {"params": new, "lr": (5 if fresh else 1) * rate}]
    optimiser = torch.optim.AdamW(groups, weight_decay=0.01, fused=cuda)
    top = [group["lr"] for group in optimiser.param_groups]
    mean, begun, total, step = AveragedModel(model), time.time(), 0.0, 0
    loader = torch.utils.data.DataLoader(
        batches, batch_size=None, num_workers=workers, pin_memory=cuda,
        prefetch_factor=6 if workers else None,
    )  # fmt: skip
    for step, batch in enumerate(loader, 1):
        done = (time.time() - begun) / seconds
        for group, most in zip(optimiser.param_groups, top, strict=True):
            group["lr"] = most * height(done)
        loss = _loss(*scored(model, batch))
        optimiser.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimiser.step()
        total += loss.detach()
        if done > _SETTLED and step % _EVERY == 0:
            mean.update_parameters(model)
        if step % 500 == 0:
            print(f"step {step}: loss {float(total) / 500:.4f}, {done * seconds:.0f} s", flush=True)
            total = 0.0
        if done >= 1:
            break
    if mean.n_averaged > 0:
        model.load_state_dict(mean.module.state_dict())
    return step


def height(done: float, left: float = _LEFT) -> float:
    """The rate as a share of the highest, when a share `done` of the time is over: rising, then
    falling as a cosine to `left`."""
    if done < _RISE:
        return done / _RISE
    fallen = 0.5 - 0.5 * math.cos(math.pi * min(1.0, (done - _RISE) / (1 - _RISE)))
    return 1.0 - (1.0 - left) * fallen


def _loss(logits: torch.Tensor, truth: torch.Tensor) -> torch.Tensor:
    each = functional.binary_cross_entropy_with_logits(logits, truth[:, :2], reduction="none")
    weights = truth[:, 2:]
    return (each * weights).sum() / weights.sum()
