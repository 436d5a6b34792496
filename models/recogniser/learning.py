"""Train the additions: the words of scripts as they were said, and no other change.

Decides: the loss. On scripts, cross entropy with what was said; on general talk, the distance
(Kullback-Leibler) from what Whisper itself gives, so that ordinary speech and voices that nobody
synthesised are heard as before. What is kept is a running mean of the later steps.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import torch
from torch import Tensor
from torch.nn import functional as F  # noqa: N812

from models.recogniser.network import Whisper
from models.recogniser.sound import bent, disguise, features, mel_filters

WARM = 200
MEAN = 0.995
REPORT = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """`seconds` of training, `rate` of AdamW at its height, `stay` the weight of the distance."""

    seconds: float
    rate: float
    stay: float
    apart: int


def learn(net: Whisper, feed: Iterator[tuple[Any, ...]], noise: Any, plan: Plan) -> int:
    """Train `net` in place on batches of `feed`, the first `plan.apart` of each general talk; gives
    the steps made."""
    device = net.words.device
    learnt = [p for p in net.parameters() if p.requires_grad]
    means = [p.detach().clone() for p in learnt]
    optimiser = torch.optim.AdamW(learnt, lr=plan.rate, weight_decay=0.01, betas=(0.9, 0.98))
    filters, yard = mel_filters().to(device), torch.tensor(noise, device=device).float() / 32768
    begun, step, told = time.time(), 0, []
    for sounds, sizes, tokens, wanted in feed:
        done = (time.time() - begun) / plan.seconds
        if done >= 1:
            break
        for group in optimiser.param_groups:
            group["lr"] = plan.rate * min((step + 1) / WARM, 1) * (1 - done) ** 0.9
        with torch.no_grad():
            sound = torch.tensor(sounds, device=device).float() / 32768
            sound, long = disguise(sound, torch.tensor(sizes, device=device), yard)
            seen = features(sound, long, bent(filters, len(sound)))
        losses = _losses(net, seen, torch.tensor(tokens, device=device),
                         torch.tensor(wanted, device=device), plan.apart)  # fmt: skip
        optimiser.zero_grad(set_to_none=True)
        (losses[0] + plan.stay * losses[1]).backward()
        torch.nn.utils.clip_grad_norm_(learnt, 1.0)
        optimiser.step()
        with torch.no_grad():
            torch._foreach_lerp_(means, learnt, 1 - min(MEAN, step / (step + 10)))
        told.append(losses.detach())
        step += 1
        if step % REPORT == 0:
            loss, away = torch.stack(told[-REPORT:]).mean(0).tolist()
            print(f"step {step}, {time.time() - begun:.0f} s, loss {loss:.4f}, "
                  f"away {away:.4f}", flush=True)  # fmt: skip
    with torch.no_grad():
        torch._foreach_copy_(learnt, means)
    return step


def _losses(net: Whisper, seen: Tensor, tokens: Tensor, wanted: Tensor, apart: int) -> Tensor:
    """Cross entropy on the scripts, and the distance on the first `apart`, which are general."""
    with torch.autocast(seen.device.type, dtype=torch.bfloat16):
        scores = net(seen, tokens)
        loss = F.cross_entropy(
            scores[apart:].flatten(0, 1).float(), wanted[apart:].flatten(), ignore_index=-100,
            label_smoothing=0.02,
        )  # fmt: skip
        if not apart:
            return torch.stack((loss, torch.zeros_like(loss)))
        there = wanted[:apart] >= 0
        was = net.untrained(seen[:apart], tokens[:apart])[there].float().log_softmax(-1)
        now = scores[:apart][there].float().log_softmax(-1)
        away = F.kl_div(now, was, log_target=True, reduction="batchmean")
    return torch.stack((loss, away))
