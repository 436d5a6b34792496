"""How well a reader reads the check part, line by line.

Public: `measure`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import torch

from models.reader.batches import Batch, answers, batch_of
from models.reader.learning import scored
from models.reader.network import TOLD, RunReader
from models.reader.wording import Wording, chunks

_ALL = 9999  # questions: every one


@dataclass(slots=True)
class _Marks:
    """(chance, truth) of every requirement in every line, and counts of places and numbers."""

    told: list[tuple[float, bool]] = field(default_factory=list)
    places: list[bool] = field(default_factory=list)
    numbers: list[bool] = field(default_factory=list)


@torch.no_grad()
def measure(
    model: RunReader, runs: list[dict[str, Any]], rows: list[dict[str, Any]], word: Wording
) -> dict[str, float]:
    """Best F1 of "told" over lines and its threshold, mean precision, recall at 95 % precision;
    shares of places and of numbers found right."""
    model.eval()
    word.plain = True
    device = str(next(model.parameters()).device)
    marks = _Marks()
    for run in runs:
        for chunk in chunks(run, word, train=False):
            batch = batch_of([(run, chunk)], rows, word, _ALL)
            _add(marks, _chance(model, batch.to(device), word.pad), batch.asked, rows, run, chunk)
    model.train()
    return _summary(marks)


def _chance(model: RunReader, batch: Batch, pad: int) -> np.ndarray:
    score = scored(model, batch, pad)
    found: np.ndarray = torch.sigmoid(score)[0, :, :, TOLD].cpu().numpy()
    return found


def _add(
    marks: _Marks, chance: np.ndarray, asked: np.ndarray, rows: list[dict[str, Any]],
    run: dict[str, Any], chunk: dict[str, Any],
) -> None:  # fmt: skip
    told = np.array([rows[q]["kind"] == "told" for q in asked])
    place = np.array([rows[q]["kind"] == "place" for q in asked])
    limits = np.array([bool(rows[q].get("limit")) for q in asked])
    for u, (_, _, meant) in enumerate(chunk["numbers"], len(chunk["spans"])):
        if meant:
            marks.numbers.append(int(asked[limits][chance[limits, u].argmax()]) in meant)
    for at, bag in answers(run, chunk):
        if bag["skip"]:
            continue
        truth = np.isin(asked, bag["said"])
        marks.told += zip(chance[:, at].max(1)[told].tolist(), truth[told].tolist(), strict=True)
        if len(bag["places"]) == 1:
            top = asked[place][chance[place][:, at].mean(1).argmax()]
            marks.places.append(int(top) in bag["places"])


def _summary(marks: _Marks) -> dict[str, float]:
    order = sorted(marks.told, key=lambda m: -m[0])
    right = np.array([t for _, t in order])
    hits, ranks = np.cumsum(right), np.arange(1, len(order) + 1)
    total = max(1, int(hits[-1]))
    f1, precision = 2 * hits / (ranks + total), hits / ranks
    best = int(f1.argmax())
    sure = np.flatnonzero(precision >= 0.95)
    found = {
        "f1": f1[best],
        "at": order[best][0],
        "mean_precision": precision[right].mean(),
        "recall_at_p95": hits[sure[-1]] / total if len(sure) else 0.0,
        "place": np.mean(marks.places or [0]),
        "numbers": np.mean(marks.numbers or [0]),
    }
    return {name: round(float(value), 4) for name, value in found.items()}
