"""Learning of the item reader, and what it answers of runs that it has not learnt from.

Decides: the loss, the rates (rising for 6 % of the time, then falling as a cosine to a twentieth),
that the weights kept are the mean over the last 40 % (Izmailov et al. 2018, "Averaging Weights
Leads to Wider Optima and Better Generalization"), and that items which the readers are right and
sure of already come less often. Truth is smoothed, more for what was not told than for what was. A
sheet's first piece says whether all that is required was told; only learning uses it.
Conventions: log odds; a batch is ids, types and mask (sheets, pieces), heads (statements, 2: sheet
and piece), earned (statements,), complete (sheets,).
Public: `Batches`, `answers`, `learn`, `measured`, `scored`, `tensors`.
"""

from __future__ import annotations

import random
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import nn
from torch.nn import functional
from torch.optim.swa_utils import AveragedModel

from models.closer.learning import batched, height
from models.closer.network import CloseNetwork
from models.items.parts import Run
from models.items.sheets import Learnt, Sheets

_LEFT = 0.05
_SETTLED, _EVERY, _SHOWN = 0.6, 10, 250
_SMOOTH = 0.015  # chance that what is not labelled was told; a third of it, that what is was not
_COMPLETE = 0.3  # weight of whether all was told
_SURE, _UNHEARD = 0.99, 0.05
_SURE_KEPT, _UNHEARD_KEPT = 0.4, 0.3  # shares of easy items that are taken
_RUNS, _TOGETHER = 16, 64  # runs cut and shuffled at once; sheets answered at once
_NEW, _FASTER = ("out", "types"), 5  # last layer and line marks mean something new

Batch = tuple[torch.Tensor, ...]

torch.backends.cuda.enable_cudnn_sdp(False)  # it seems to plan anew for every new shape


class Batches(torch.utils.data.IterableDataset[Batch]):
    """Batches without end, of sheets of like length and at most so many pieces."""

    def __init__(
        self,
        texts: Sequence[str],
        runs: Sequence[Run],
        vocab: Path,
        slips: dict[str, list[str]],
        seed: int,
        pieces: int,
    ) -> None:
        self.texts, self.runs, self.vocab = texts, runs, vocab
        self.slips, self.seed, self.pieces = slips, seed, pieces

    def __iter__(self) -> Iterator[Batch]:
        torch.set_num_threads(1)
        worker = torch.utils.data.get_worker_info()
        seed = self.seed * 1000 + (worker.id if worker else 0)
        sheets = Sheets(self.texts, self.vocab, self.slips, seed)
        weights = [run["weight"] for run in self.runs]
        while True:
            found: list[Learnt] = []
            for run in sheets.rng.choices(self.runs, weights, k=_RUNS):
                items = [one for one in run["items"] if _taken(one, sheets.rng)]
                found += sheets.varied(run, items)
            for batch in batched(found, self.pieces, sheets.rng):
                yield tensors(batch, sheets.word.pad)


def _taken(item: dict[str, Any], rng: random.Random) -> bool:
    """Whether an item is learnt from this time."""
    if all(item["earned"]) and item["surest"] > _SURE:
        return rng.random() < _SURE_KEPT
    if not any(item["earned"]) and item["surest"] < _UNHEARD:
        return rng.random() < _UNHEARD_KEPT
    return True


def tensors(sheets: Sequence[Learnt], pad: int) -> Batch:
    """A batch of sheets, filled up with `pad`."""
    length = -(-max(one.size for one in sheets) // 16) * 16
    ids = np.full((len(sheets), length), pad, np.int64)
    types, mask = np.zeros_like(ids), np.zeros(ids.shape, bool)
    heads = [(n, head) for n, one in enumerate(sheets) for head in one.sheet.heads]
    for n, one in enumerate(sheets):
        ids[n, : one.size], types[n, : one.size] = one.sheet.ids, one.sheet.types
        mask[n, : one.size] = True
    earned = [truth for one in sheets for truth in one.earned]
    complete = [one.complete for one in sheets]
    arrays = (ids, types, mask, np.array(heads, np.int64).reshape(-1, 2),
              np.array(earned, np.float32), np.array(complete, np.float32))  # fmt: skip
    return tuple(torch.from_numpy(one) for one in arrays)


def scored(model: CloseNetwork, batch: Batch) -> tuple[torch.Tensor, torch.Tensor]:
    """Log odds that each statement was told (statements,), and that all was (sheets,)."""
    device = next(model.parameters()).device
    ids, types, mask, heads = (one.to(device, non_blocking=True) for one in batch[:4])
    places = torch.arange(ids.shape[1], device=device)[None].expand_as(ids)
    with torch.autocast(device.type, dtype=torch.bfloat16, enabled=device.type == "cuda"):
        logits = model(ids, types, places, mask[:, None, None, :])
    return logits[heads[:, 0], heads[:, 1], 0].float(), logits[:, 0, 1].float()


def learn(
    model: CloseNetwork, batches: Batches, *, seconds: float, rate: float, workers: int
) -> int:
    """Learn for so long; how many steps."""
    cuda = next(model.parameters()).is_cuda
    optimiser = _optimiser(model, rate, cuda)
    top = [group["lr"] for group in optimiser.param_groups]
    mean, begun, total, step = AveragedModel(model), time.time(), 0.0, 0
    loader = torch.utils.data.DataLoader(
        batches, batch_size=None, num_workers=workers, pin_memory=cuda,
        prefetch_factor=6 if workers else None,
    )  # fmt: skip
    model.train()
    for step, batch in enumerate(loader, 1):
        done = (time.time() - begun) / seconds
        for group, most in zip(optimiser.param_groups, top, strict=True):
            group["lr"] = most * height(done, _LEFT)
        total += _stepped(model, optimiser, batch)
        if done > _SETTLED and step % _EVERY == 0:
            mean.update_parameters(model)
        if step % _SHOWN == 0:
            shown = float(total) / _SHOWN
            print(f"step {step}: loss {shown:.4f}, {done * seconds:.0f} s", flush=True)
            total = 0.0
        if done >= 1:
            break
    if mean.n_averaged > 0:
        model.load_state_dict(mean.module.state_dict())
    return step


def _optimiser(model: CloseNetwork, rate: float, cuda: bool) -> torch.optim.AdamW:
    new = [p for n, p in model.named_parameters() if n.startswith(_NEW)]
    old = [p for n, p in model.named_parameters() if not n.startswith(_NEW)]
    groups = [{"params": old, "lr": rate}, {"params": new, "lr": _FASTER * rate}]
    return torch.optim.AdamW(groups, weight_decay=0.01, fused=cuda)


def _stepped(model: CloseNetwork, optimiser: torch.optim.AdamW, batch: Batch) -> torch.Tensor:
    """One step; its loss, not yet waited for."""
    told, complete = scored(model, batch)
    earned, all_told = (one.to(told.device, non_blocking=True) for one in batch[4:])
    loss = _loss(told, complete, earned, all_told)
    optimiser.zero_grad()
    loss.backward()
    nn.utils.clip_grad_norm_(model.parameters(), 1.0)
    optimiser.step()
    return loss.detach()


def _loss(
    told: torch.Tensor, complete: torch.Tensor, earned: torch.Tensor, all_told: torch.Tensor
) -> torch.Tensor:
    smooth = earned * (1 - _SMOOTH / 3 - _SMOOTH) + _SMOOTH
    each = functional.binary_cross_entropy_with_logits(told, smooth)
    return each + _COMPLETE * functional.binary_cross_entropy_with_logits(complete, all_told)


@torch.no_grad()
def answers(model: CloseNetwork, sheets: Sheets, run: Run) -> np.ndarray:
    """Log odds (requirements of the checklist,) as float16; NaN where nothing is asked."""
    model.eval()
    found = np.full(run["count"], np.nan, np.float16)
    asked = sorted(sheets.plain(run), key=lambda one: one.size)
    for start in range(0, len(asked), _TOGETHER):
        some = asked[start : start + _TOGETHER]
        told, _ = scored(model, tensors(some, sheets.word.pad))
        found[[at for one in some for at in one.at]] = told.cpu().numpy()
    return found


def measured(runs: Sequence[Run], found: dict[str, np.ndarray]) -> str:
    """How the answers to runs agree with the truth: mean log loss, and share on the wrong side."""
    pairs = [(found[run["id"]][at], earned) for run in runs for item in run["items"]
             for at, earned in zip(item["at"], item["earned"], strict=True)]  # fmt: skip
    if not pairs:
        return "no answers"
    odds, earned = np.array(pairs, np.float64).T
    loss = np.logaddexp(0.0, np.where(earned > 0, -odds, odds)).mean()
    return (
        f"{len(odds)} answers, log loss {loss:.4f}, wrong {((odds > 0) != (earned > 0)).mean():.4f}"
    )
