"""Learning: from labelled lines, and from a larger reader that teaches.

Decides: the losses, the rates of learning, when to stop, and which steps' weights are averaged
(Izmailov et al. 2018, "Averaging Weights Leads to Wider Optima and Better Generalization").
Conventions: rates rise for 8 % of the time, then fall as a cosine to nothing; time is the larger of
steps done and seconds used.
Public: `Plan`, `learn`.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import torch
from torch import nn
from torch.optim.swa_utils import AveragedModel

from models.reader.batches import TEXTS, Batch, Batches
from models.reader.network import RunReader

POSITIVE = 1.5  # weight of a line's yes
HEAD_RATE = 2e-3  # of all that is not the pretrained encoder
_RISE = 0.08
_LEFT = 0.4  # of the rates at the end, where weights are averaged
_SETTLED, _EVERY = 0.35, 10  # from which share of the time on, and every how many steps, they are

torch.backends.cuda.enable_cudnn_sdp(False)  # it seems to plan anew for every new shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How to learn: `rate` of the encoder; `seconds` to stop after; `taught` the share of the loss
    that comes from the teacher (0..1); with `average` the weights learnt are the mean over the steps
    of the later part, and rates fall less. With `state`, a file, learning stops for a while after
    `pause` seconds and goes on from there when called again."""

    rate: float
    seconds: float
    workers: int
    taught: float = 0.0
    average: bool = False
    state: Path | None = None
    pause: float = math.inf


def learn(
    model: RunReader, batches: Batches, plan: Plan, pad: int, teacher: RunReader | None = None
) -> bool:
    """Learn all batches, or as many as time allows; False when it only paused."""
    device = str(next(model.parameters()).device)
    optimiser = _optimiser(model, plan.rate)
    top = [group["lr"] for group in optimiser.param_groups]
    first, used = _resumed(plan, model, optimiser)
    begun, total = time.time(), torch.zeros((), device=device)
    mean = AveragedModel(model) if plan.average else None
    for step, batch in enumerate(_loaded(batches, plan.workers, first), first + 1):
        spent = time.time() - begun
        done = max(step / len(batches), (used + spent) / plan.seconds)
        for group, rate in zip(optimiser.param_groups, top, strict=True):
            group["lr"] = rate * _height(done, lowest=_LEFT if plan.average else 0.0)
        there = batch.to(device)
        logits = scored(model, there, pad)
        loss = _told(logits, there)
        if teacher is not None:
            with torch.no_grad():
                wanted = torch.sigmoid(scored(teacher, there, pad))
            loss = (1 - plan.taught) * loss + plan.taught * _taught(logits, wanted, there)
        optimiser.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimiser.step()
        total += loss.detach()
        if mean is not None and done >= _SETTLED and step % _EVERY == 0:
            mean.update_parameters(model)
        if step % 500 == 0:
            print(f"step {step} of {len(batches)}: loss {float(total) / 500:.4f}, "
                  f"{used + spent:.0f} s", flush=True)  # fmt: skip
            total.zero_()
        if done >= 1.0:
            break
        if plan.state is not None and spent >= plan.pause:
            kept = {"model": model.state_dict(), "optimiser": optimiser.state_dict()}
            torch.save({**kept, "step": step, "used": used + spent}, plan.state)
            print(f"paused after {step} steps, {used + spent:.0f} s", flush=True)
            return False
    if mean is not None and mean.n_averaged > 0:
        model.load_state_dict(mean.module.state_dict())
    print(f"learnt for {step} steps, {used + time.time() - begun:.0f} s", flush=True)
    return True


def _resumed(plan: Plan, model: RunReader, optimiser: torch.optim.Optimizer) -> tuple[int, float]:
    """Steps done and seconds used before a pause."""
    if plan.state is None or not plan.state.is_file():
        return 0, 0.0
    kept = torch.load(plan.state, map_location="cpu", weights_only=True)
    model.load_state_dict(kept["model"])
    optimiser.load_state_dict(kept["optimiser"])
    return int(kept["step"]), float(kept["used"])


def scored(model: RunReader, batch: Batch, pad: int) -> torch.Tensor:
    """Logits (batch, question, utterance, 2)."""
    cuda = batch.ids.is_cuda
    seen, first, asks = batch.ids != pad, 0, []
    with torch.autocast("cuda" if cuda else "cpu", dtype=torch.bfloat16, enabled=cuda):
        talk = model(batch.ids, seen)[0]
        for step, count in zip(TEXTS, batch.texts, strict=True):
            if count:
                ids = batch.question_ids[first : first + count, :step]
                asks.append(model(ids, ids != pad)[1])
                first += count
    both = torch.cat(asks).float()
    return model.score(talk.float(), seen, both, batch.which, batch.spans, batch.lengths)


def _loaded(batches: Batches, workers: int, first: int) -> Iterator[Batch]:
    return iter(
        torch.utils.data.DataLoader(
            batches, batch_size=None, sampler=range(first, len(batches)), num_workers=workers,
            pin_memory=torch.cuda.is_available(), prefetch_factor=4 if workers else None,
        )
    )  # fmt: skip


def _optimiser(model: RunReader, rate: float) -> torch.optim.Optimizer:
    rest = [p for n, p in model.named_parameters() if not n.startswith("encoder")]
    groups = [
        {"params": list(model.encoder.parameters()), "lr": rate},
        {"params": rest, "lr": HEAD_RATE},
    ]
    return torch.optim.AdamW(groups, weight_decay=0.01, fused=torch.cuda.is_available())


def _height(done: float, lowest: float = 0.0) -> float:
    if done < _RISE:
        return done / _RISE
    fallen = 0.5 - 0.5 * math.cos(math.pi * min(1.0, (done - _RISE) / (1 - _RISE)))
    return 1.0 - (1.0 - lowest) * fallen


def _told(logits: torch.Tensor, batch: Batch) -> torch.Tensor:
    """Every utterance outside a bag says no; of each bag one says yes."""
    loss = (nn.functional.softplus(logits) * batch.no).sum()
    loss = loss + (nn.functional.softplus(-logits) * batch.yes).sum()
    if len(batch.index):
        picked = logits[tuple(batch.index[..., n] for n in range(4))]
        loss = loss + POSITIVE * nn.functional.softplus(-picked.amax(-1)).sum()
    return loss / (1 + len(batch.index))


def _taught(logits: torch.Tensor, wanted: torch.Tensor, batch: Batch) -> torch.Tensor:
    """Cross entropy with what the teacher thinks, less the teacher's own doubt."""
    counts = batch.counts.unsqueeze(-1)
    sure = wanted.clamp(1e-4, 1 - 1e-4)
    doubt = -(sure * sure.log() + (1 - sure) * (1 - sure).log())
    cross = nn.functional.softplus(logits) - wanted * logits - doubt
    return 2.0 * (cross * counts).sum() / (1 + (wanted * counts).sum())
