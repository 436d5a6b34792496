"""Train the clause reader: which conditions a spoken clause asserts, or says are bad.

Run (needs torch, transformers, onnx, onnxruntime; a GPU makes it seconds)::

    python models/train_clauses.py --base MINILM_FOLDER --out models/clauses

Recipe: the encoder is all-MiniLM-L6-v2 (Apache-2.0), its vocabulary cut to the frequent half plus
what the data needs; mean-pooled and followed by one linear layer with two outputs per concept
(sound, fault). Data: seeds/phrasings/*.yaml (part tune; steps.yaml is keyed by requirement), clauses without labels from the tune
scripts' chat, joined clauses, and the recogniser's slips from hearing.yaml played backwards. Nothing
of the check and report parts is read. Written: clauses.onnx (int8), vocab.txt, labels.json with the
sha256 of every file, the measured scores on held-out clauses and the data's sha256.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import random
import re
import sys
from pathlib import Path

import numpy as np
import torch
import yaml
from torch import nn
from transformers import AutoModel, AutoTokenizer

ROOT = Path(__file__).resolve().parent.parent
KEEP = 12000  # the frequent head of the vocabulary
LENGTH = 40


def clean(text: str) -> str:
    """As the reader sees it: lower case, no punctuation but apostrophes and slashes in numbers."""
    text = text.lower().replace("\u2019", "'").replace("-", " ")
    return re.sub(r"\s+", " ", re.sub(r"[^a-z0-9'/ ]+", " ", text)).strip()


def load_rows() -> tuple[list[tuple[str, dict[str, str]]], list[str]]:
    """(clause, {concept: sound|fault}) rows and the sorted concepts."""
    rows: list[tuple[str, dict[str, str]]] = []
    concepts: set[str] = set()
    for path in sorted((ROOT / "seeds/phrasings").glob("*.yaml")):
        body = yaml.safe_load(path.read_text("utf-8"))["phrasings"]
        concepts.update(body)
        for concept, kinds in body.items():
            for kind, clauses in kinds.items():
                for clause in clauses:
                    text = clause if isinstance(clause, str) else clause["say"]
                    also = [] if isinstance(clause, str) else list(clause.get("also", []))
                    names = {} if kind == "neither" else dict.fromkeys([concept, *also], kind)
                    rows.append((clean(text), names))
    merged: dict[str, dict[str, str]] = {}
    for text, names in rows:
        merged.setdefault(text, {}).update(names)
    return list(merged.items()), sorted(concepts)


def chat_rows() -> list[tuple[str, dict[str, str]]]:
    """Lines of the tune scripts that earn nothing and hold no fault: talk."""
    found = []
    for path in sorted((ROOT / "seeds/scripts").glob("tune-*.yaml")):
        for line in yaml.safe_load(path.read_text("utf-8"))["lines"]:
            earns = line.get("earns") or {}
            if not any(earns.values()) and not line.get("wrong") and not line.get("flags"):
                for piece in re.split(r"[.!?]", line["text"]):
                    if len(piece.split()) >= 3:
                        found.append((clean(piece), {}))
    return found


def slips() -> dict[str, list[str]]:
    """Meant word -> words a recogniser writes for it."""
    heard = yaml.safe_load((ROOT / "walkgrade/language/data/hearing.yaml").read_text("utf-8"))
    back: dict[str, list[str]] = {}
    for word, meant in heard["words"].items():
        for one in meant:
            back.setdefault(one, []).append(word)
    return back


def varied(
    rows: list[tuple[str, dict[str, str]]], rng: random.Random, back: dict[str, list[str]]
) -> list[tuple[str, dict[str, str]]]:
    """One epoch: the rows, some joined to two or three, some with slips."""
    made = list(rows)
    for _ in range(len(rows) // 2):
        parts = rng.sample(rows, rng.choice((2, 2, 3)))
        names: dict[str, str] = {}
        for _, labels in parts:
            for concept, kind in labels.items():
                names[concept] = "fault" if names.get(concept) == "fault" else kind
        made.append((rng.choice((" and ", " ", " ")).join(t for t, _ in parts), names))
    out = []
    for text, names in made:
        words = [
            rng.choice(back[w]) if w in back and rng.random() < 0.08 else w for w in text.split()
        ]
        out.append((" ".join(words), names))
    rng.shuffle(out)
    return out


class Reader(nn.Module):
    """Encoder, mean pooling, one linear layer."""

    def __init__(self, encoder: nn.Module, outputs: int) -> None:
        super().__init__()
        self.encoder = encoder
        self.drop = nn.Dropout(0.1)
        self.head = nn.Linear(384, outputs)

    def forward(self, input_ids: torch.Tensor, attention_mask: torch.Tensor) -> torch.Tensor:
        """Logits (clauses, outputs)."""
        states = self.encoder(input_ids=input_ids, attention_mask=attention_mask).last_hidden_state
        mask = attention_mask.unsqueeze(-1).to(states.dtype)
        pooled = (states * mask).sum(1) / mask.sum(1).clamp(min=1)
        return self.head(self.drop(pooled))


def targets(rows: list[tuple[str, dict[str, str]]], concepts: list[str]) -> torch.Tensor:
    """(rows, 2 * concepts): sound outputs first, then fault."""
    where = {concept: index for index, concept in enumerate(concepts)}
    made = torch.zeros(len(rows), 2 * len(concepts))
    for row, (_, names) in enumerate(rows):
        for concept, kind in names.items():
            if concept in where:
                made[row, where[concept] + (len(concepts) if kind == "fault" else 0)] = 1.0
    return made


def cut_vocabulary(tokenizer, encoder, texts: list[str], folder: Path) -> None:
    """Keep the frequent head of the vocabulary and every piece the data uses."""
    used = {i for text in texts for i in tokenizer(text)["input_ids"]}
    words = sorted(tokenizer.vocab.items(), key=lambda pair: pair[1])
    keep = [i for w, i in words if (i < KEEP and not w.startswith("[unused")) or i in used]
    names = {i: w for w, i in words}
    weights = encoder.embeddings.word_embeddings.weight.data[keep].clone()
    encoder.embeddings.word_embeddings = nn.Embedding.from_pretrained(weights, freeze=False)
    encoder.config.vocab_size = len(keep)
    (folder / "vocab.txt").write_text("\n".join(names[i] for i in keep) + "\n", "utf-8")


def main(words: list[str]) -> int:
    """Train, measure on held-out clauses, export, write the labels file."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--base", required=True, type=Path)
    parser.add_argument("--out", required=True, type=Path)
    parser.add_argument("--epochs", type=int, default=8)
    args = parser.parse_args(words)
    args.out.mkdir(parents=True, exist_ok=True)
    torch.manual_seed(7)
    rng = random.Random(7)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    rows, concepts = load_rows()
    rng.shuffle(rows)
    held = rows[: len(rows) // 10]
    train = rows[len(rows) // 10 :] + chat_rows()
    back = slips()
    tokenizer = AutoTokenizer.from_pretrained(args.base)
    encoder = AutoModel.from_pretrained(args.base).float()
    every = [t for t, _ in rows] + [w for ws in back.values() for w in ws]
    cut_vocabulary(tokenizer, encoder, every, args.out)
    from tokenizers import BertWordPieceTokenizer

    pieces = BertWordPieceTokenizer(str(args.out / "vocab.txt"), lowercase=True)
    pieces.enable_truncation(LENGTH)
    pieces.enable_padding(pad_id=pieces.token_to_id("[PAD]"))
    model = Reader(encoder, 2 * len(concepts)).to(device)

    def encode(texts: list[str]) -> tuple[torch.Tensor, torch.Tensor]:
        found = pieces.encode_batch(texts)
        ids = torch.tensor([f.ids for f in found])
        return ids.to(device), torch.tensor([f.attention_mask for f in found]).to(device)

    groups = [
        {"params": model.encoder.parameters(), "lr": 1e-4},
        {"params": model.head.parameters(), "lr": 2e-3},
    ]
    optimiser = torch.optim.AdamW(groups, weight_decay=0.01)
    steps = args.epochs * (len(train) * 3 // 2) // 64
    schedule = torch.optim.lr_scheduler.OneCycleLR(
        optimiser, [1e-4, 2e-3], total_steps=steps + 10, pct_start=0.1
    )
    loss_of = nn.BCEWithLogitsLoss(pos_weight=torch.full((2 * len(concepts),), 3.0, device=device))
    done = 0
    for epoch in range(args.epochs):
        model.train()
        total = 0.0
        epoch_rows = varied(train, rng, back)
        for start in range(0, len(epoch_rows), 64):
            batch = epoch_rows[start : start + 64]
            ids, mask = encode([t for t, _ in batch])
            loss = loss_of(model(ids, mask), targets(batch, concepts).to(device))
            optimiser.zero_grad()
            loss.backward()
            optimiser.step()
            if done < steps + 9:
                schedule.step()
            done += 1
            total += float(loss) * len(batch)
        print(f"epoch {epoch + 1}: loss {total / len(epoch_rows):.4f}", flush=True)
    model.eval()
    with torch.no_grad():
        scores = torch.cat(
            [
                torch.sigmoid(model(*encode([t for t, _ in held[i : i + 256]]))).cpu()
                for i in range(0, len(held), 256)
            ]
        ).numpy()
    truth = targets(held, concepts).numpy()
    measured = measure(scores, truth, len(concepts))
    print(json.dumps(measured))
    export(model, args.out, encode(["no cracks", "it's tight and not leaking at all"]))
    write_labels(args.out, concepts, measured, len(train), len(held))
    return 0


def measure(scores: np.ndarray, truth: np.ndarray, concepts: int) -> dict[str, float]:
    """Precision and recall at 0.5 for sound and fault outputs on held-out clauses."""
    found = {}
    for name, part in (("sound", slice(0, concepts)), ("fault", slice(concepts, None))):
        said, due = scores[:, part] >= 0.5, truth[:, part] > 0
        hit = float((said & due).sum())
        found[f"{name}_precision"] = round(hit / max(1.0, float(said.sum())), 4)
        found[f"{name}_recall"] = round(hit / max(1.0, float(due.sum())), 4)
    idle = truth.sum(1) == 0
    found["idle_left_alone"] = round(float((scores[idle] < 0.5).all(1).mean()), 4)
    return found


def export(model: Reader, folder: Path, example: tuple[torch.Tensor, torch.Tensor]) -> None:
    """Write clauses.onnx with int8 weights."""
    from onnxruntime.quantization import QuantType, quantize_dynamic

    model = model.cpu().eval()
    ids, mask = (part.cpu() for part in example)
    axes = {"input_ids": {0: "n", 1: "t"}, "attention_mask": {0: "n", 1: "t"}, "logits": {0: "n"}}
    torch.onnx.export(
        model, (ids, mask), str(folder / "full.onnx"), input_names=["input_ids", "attention_mask"],
        output_names=["logits"], dynamic_axes=axes, opset_version=17, dynamo=False,
    )  # fmt: skip
    quantize_dynamic(
        str(folder / "full.onnx"),
        str(folder / "clauses.onnx"),
        weight_type=QuantType.QInt8,
        per_channel=True,
    )
    (folder / "full.onnx").unlink()


def write_labels(
    folder: Path, concepts: list[str], measured: dict[str, float], trained: int, held: int
) -> None:
    """labels.json: what the outputs mean, where they came from, and the files' sums."""

    def sums(path: Path) -> str:
        return hashlib.sha256(path.read_bytes()).hexdigest()

    data = {p.name: sums(p) for p in sorted((ROOT / "seeds/phrasings").glob("*.yaml"))}
    body = {
        "format": 1, "concepts": concepts, "base": "all-MiniLM-L6-v2 (Apache-2.0)", "length": LENGTH,
        "trained_on": {"clauses": trained, "files": data}, "held_out": {"clauses": held, **measured},
        "sha256": {n: sums(folder / n) for n in ("clauses.onnx", "vocab.txt")},
    }  # fmt: skip
    (folder / "labels.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
