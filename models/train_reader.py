"""Train the run reader: which of the checklist's questions an utterance answers, in its context.

    python models/train_reader.py --base MINILM_FOLDER --data DATA.json.gz --out models/run_reader

Recipe: one encoder (all-MiniLM-L6-v2, Apache-2.0, frequent part of its vocabulary) reads a stretch
of the talk of at most `CHUNK` word pieces, and, apart, each question. Every question looks over the
pieces of each utterance (six heads of 32), and a small layer judges what it saw: answered rightly,
or against. Data: models/reader_data.py. A line cut into several utterances counts as answered when
one of them is. Words are swapped for what recognisers make of them (hearing.yaml backwards, and
the pairs in --slips), punctuation comes and goes. Held out: the check part, printed only.
Written: encoder.onnx (int8), head.npz, vocab.txt, reader.json with sums, recipe and measures.
"""

from __future__ import annotations

import argparse
import gzip
import hashlib
import json
import math
import random
import sys
import time
from pathlib import Path

import numpy as np
import torch
from tokenizers import BertWordPieceTokenizer
from torch import nn
from transformers import AutoModel

CHUNK, CONTEXT, QUESTION = 224, 64, 40
HEADS, WIDTH, HIDDEN = 6, 32, 96
SIZE = HEADS * WIDTH
HARD = 2.5
"""Weight of a no about a part that is spoken of: naming a part tells nothing of its state."""
TOLD, AGAINST = 0, 1
BATCH = 16
KIN = 130  # questions about parts that are spoken of, in a batch, beside those answered


class RunReader(nn.Module):
    """Encoder with keys and values for pieces, looks for questions, and the judging layer.

    A question is three texts: whole, part alone, and what must be said alone; the heads of each
    look by themselves, so that what is said and of what are weighed apart as well as together.
    """

    def __init__(self, encoder: nn.Module) -> None:
        super().__init__()
        self.encoder = encoder
        self.pieces = nn.Linear(384, 2 * SIZE)
        self.asks = nn.Linear(384, 2 * SIZE)
        self.judge = nn.Sequential(
            nn.Linear(3 * SIZE + 3 * HEADS, HIDDEN),
            nn.ReLU(),
            nn.Dropout(0.15),
            nn.Linear(HIDDEN, 2),
        )
        nn.init.constant_(self.judge[3].bias, -4.0)

    def forward(self, ids: torch.Tensor, mask: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """(n, t, 2 SIZE) for pieces and (n, 2 SIZE) for questions, of the same texts."""
        hidden = self.encoder(input_ids=ids, attention_mask=mask).last_hidden_state
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
        asked = torch.cat([asks[which[:, n], n * third : (n + 1) * third] for n in range(3)], -1)
        wants = torch.cat(
            [asks[which[:, n], SIZE + n * third : SIZE + (n + 1) * third] for n in range(3)], -1
        )
        shape = (*keys.shape[:2], HEADS, WIDTH)
        match = (
            torch.einsum("bthw,qhw->bhqt", keys.view(shape), asked.view(-1, HEADS, WIDTH))
            / WIDTH**0.5
        )
        weight = torch.exp((match - match.amax(-1, keepdim=True)).clamp(min=-60))
        total = torch.einsum("bhqt,but->bhqu", weight, spans)
        half = torch.bfloat16 if weight.is_cuda else weight.dtype
        spread = torch.einsum(
            "bhqt,but,bthw->bquhw", weight.to(half), spans.to(half), values.view(shape).to(half)
        ).to(weight.dtype)
        seen = (spread / total.permute(0, 2, 3, 1).clamp(min=1e-9).unsqueeze(-1)).flatten(3)
        want = wants.view(1, -1, 1, SIZE).expand(seen.shape[0], -1, seen.shape[2], -1)
        blocked = (1 - spans).unsqueeze(1).unsqueeze(1) * 1e4
        best = torch.stack(
            [(match[:, h].unsqueeze(2) - blocked[:, 0]).amax(-1) for h in range(HEADS)], -1
        )
        mean = (match.sum(-1) / match.shape[-1]).permute(0, 2, 1).unsqueeze(2).expand_as(best)
        return self.judge(
            torch.cat([seen, want, seen * want, best, best - mean, torch.tanh(best)], -1)
        )


def sums(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


class Wording:
    """How texts vary while learning."""

    def __init__(self, slips: dict[str, list[str]], rng: random.Random) -> None:
        self.slips, self.rng = slips, rng
        self.longest = max((len(k.split()) for k in slips), default=1)

    def talk(self, text: str, bare: bool, rate: float) -> str:
        words = text.split()
        if rate > 0:
            words = self._misheard(words, rate)
        text = " ".join(words)
        if bare:
            text = "".join(c for c in text if c.isalnum() or c in " '/").lower()
        return text

    def _misheard(self, words: list[str], rate: float) -> list[str]:
        out, at, rng = [], 0, self.rng
        while at < len(words):
            for length in range(min(self.longest, len(words) - at), 0, -1):
                key = " ".join(w.lower().strip(",.;:!?") for w in words[at : at + length])
                if key in self.slips and rng.random() < (4 * rate if length > 1 else 2.5 * rate):
                    out += rng.choice(self.slips[key]).split()
                    at += length
                    break
            else:
                if rng.random() < 0.15 * rate:
                    at += 1  # a lost word
                    continue
                out.append(words[at])
                at += 1
        return out or words[:1]

    def question(self, row: dict, plain: bool) -> tuple[str, str, str]:
        """Whole, part, and what must be said; as walkgrade/language/questions.py words them."""
        names = row["names"][:4]
        if not plain and self.rng.random() < 0.5:
            names = self.rng.sample(row["names"], min(len(row["names"]), self.rng.randrange(6)))
        also = ", ".join(n.lstrip("=") for n in names)
        part = (f"{row['title']} ({also})" if also else row["title"]).lower()
        return f"{part}: {row['says'].lower()}", part, row["says"].lower()


def chunks(run: dict, pieces, word: Wording, train: bool) -> list[dict]:
    """Stretches of a run: token ids, utterance spans, which of them count."""
    rng = word.rng
    bare = train and rng.random() < 0.3
    rate = rng.choice((0, 0, 0.05, 0.1, 0.2)) if train and run["source"] != "heard" else 0.0
    coded, numbers = [], []
    for at, u in enumerate(run["utterances"]):
        text = word.talk(u["t"], bare, rate)
        found = pieces.encode(text, add_special_tokens=False)
        coded.append(([word.other] if u["o"] else []) + found.ids[: CHUNK // 2])
        for start, end, asked in u.get("n", ()) if text == u["t"] else ():
            mine = [
                i for i, (a, b) in enumerate(found.offsets[: CHUNK // 2]) if a < end and b > start
            ]
            if mine:
                numbers.append((at, mine[0], mine[-1] + 1, asked))
    made, first = [], 0
    limit = CHUNK - 2 if not train else rng.randrange(CHUNK // 2, CHUNK - 2)
    while first < len(coded):
        context, used = first, 0
        while context > 0 and used + len(coded[context - 1]) + 1 <= CONTEXT:
            context -= 1
            used += len(coded[context]) + 1
        last = first
        while last < len(coded) and (last == first or used + len(coded[last]) + 1 <= limit):
            used += len(coded[last]) + 1
            last += 1
        ids, spans = [word.cls], []
        for at in range(context, last):
            spans.append((len(ids), len(ids) + len(coded[at])))
            ids += [*coded[at], word.sep]
        inside = [
            (spans[at - context][0] + a, spans[at - context][0] + b, asked)
            for at, a, b, asked in numbers if first <= at < last
        ]  # fmt: skip
        made.append(
            {
                "ids": ids,
                "spans": spans,
                "from": context,
                "counts": first,
                "to": last,
                "numbers": inside,
            }
        )
        first = last
        limit = CHUNK - 2
    return made


def answers(run: dict, chunk: dict) -> list[tuple[list[int], dict]]:
    """The run's bags within a chunk, with utterance numbers of the chunk."""
    found = []
    for bag in run["bags"]:
        mine = [u - chunk["from"] for u in bag["u"] if chunk["counts"] <= u < chunk["to"]]
        if mine:
            found.append((mine, bag))
    return found


def batch_of(
    items: list[tuple[dict, dict]], rows: list[dict], word: Wording, pieces, negatives: int
):
    """Tensors of a batch: ids, spans, question ids, and truth: yes and no weights, bags."""
    wanted: set[int] = set()
    for run, chunk in items:
        wanted.update(q for *_, meant in chunk["numbers"] for q in meant)
        for _, bag in answers(run, chunk):
            wanted.update(
                bag["said"]
                + bag["against"]
                + bag["named"]
                + ([bag["place"]] if bag["place"] >= 0 else [])
            )
    theirs = {q for run, _ in items for q in run["asked"]}
    if any(chunk["numbers"] for _, chunk in items):
        wanted |= {q for q in theirs if rows[q].get("limit")}
    near = {rows[q]["title"] for q in wanted if rows[q]["kind"] == "told"}
    kin = sorted(
        q for q in theirs - wanted if rows[q]["kind"] == "told" and rows[q]["title"] in near
    )
    if negatives < 1000:  # while learning: not every one every time
        kin = word.rng.sample(kin, min(len(kin), KIN))
    wanted |= set(kin)
    pool = sorted(theirs - wanted)
    asked = np.array(sorted(wanted | set(word.rng.sample(pool, min(negatives, len(pool))))))
    where = {int(q): at for at, q in enumerate(asked)}
    length = max(len(c["ids"]) for _, c in items)
    width = max(len(c["spans"]) + len(c["numbers"]) for _, c in items)
    ids = np.full((len(items), length), word.pad)
    spans = np.zeros((len(items), width, length), np.float32)
    yes = np.zeros((len(items), len(asked), width, 2), np.float32)
    no = np.zeros_like(yes)
    groups: list[tuple[int, int, list[int], int]] = []
    kinds = np.array([rows[q]["kind"] == "place" for q in asked])
    limits = np.array([bool(rows[q].get("limit")) for q in asked])
    titles = [rows[q]["title"] if rows[q]["kind"] == "told" else "" for q in asked]
    for b, (run, chunk) in enumerate(items):
        ids[b, : len(chunk["ids"])] = chunk["ids"]
        for u, (start, end) in enumerate(chunk["spans"]):
            spans[b, u, start:end] = 1
        mine = np.isin(asked, run["asked"])
        for u, (start, end, meant) in enumerate(chunk["numbers"], len(chunk["spans"])):
            spans[b, u, start:end] = 1
            no[b, mine & limits, u, TOLD] = 1.0
            for q in meant:
                no[b, where[q], u, TOLD] = 0.0
                groups.append((b, where[q], [u], TOLD))
        counts = np.arange(chunk["counts"] - chunk["from"], chunk["to"] - chunk["from"])
        no[b][np.ix_(mine & ~kinds, counts)] = 1.0
        for at, bag in answers(run, chunk):
            if bag["skip"]:
                no[b][:, at] = 0.0
                continue
            spoken = {rows[q]["title"] for q in bag["said"] + bag["against"] + bag["named"]}
            for q in range(len(asked)):
                if titles[q] in spoken:
                    no[b, q, at, :] *= HARD
            for key, side in (("said", TOLD), ("named", TOLD), ("against", AGAINST)):
                for q in bag[key]:
                    no[b, where[q], at, :] = 0.0
                    no[b, where[q], at, 1 - side] = 1.0 if key != "named" else 0.0
                    groups.append((b, where[q], at, side))
            if bag["place"] >= 0:
                for u in at:
                    no[b, kinds & mine, u, TOLD] = 0.3
                    no[b, where[bag["place"]], u, TOLD] = 0.0
                    yes[b, where[bag["place"]], u, TOLD] = 0.3
    texts: dict[str, int] = {}
    which = np.array(
        [
            [texts.setdefault(t, len(texts)) for t in word.question(rows[q], plain=word.plain)]
            for q in asked
        ]
    )
    coded = pieces.encode_batch(list(texts))
    size = min(QUESTION, max(len(c.ids) for c in coded))
    q_ids = np.full((len(texts), size), word.pad)
    for at, c in enumerate(coded):
        q_ids[at, : min(size, len(c.ids))] = c.ids[:size]
    longest = max((len(g[2]) for g in groups), default=1)
    index = [[(b, q, at[min(i, len(at) - 1)], s) for i in range(longest)] for b, q, at, s in groups]
    index = np.array(index, dtype=np.int64).reshape(-1, longest, 4)
    return *(
        torch.from_numpy(np.ascontiguousarray(x))
        for x in (ids, spans, q_ids, which, yes, no, index)
    ), asked


class Batches(torch.utils.data.Dataset):
    """The batches of all epochs; each worker cuts an epoch's runs anew when it comes to it."""

    def __init__(self, real, made, some, rows, slips, vocab, epochs) -> None:
        self.real, self.made, self.some = real, made, some
        self.rows, self.slips, self.vocab = rows, slips, vocab
        self.kit, self.epoch, self.items = None, -1, []
        self.each = -(-len(self._cut(0)) // BATCH)
        self.kit, self.epoch = None, -1
        self.epochs = epochs

    def __len__(self) -> int:
        return self.each * self.epochs

    def _cut(self, epoch: int):
        if self.epoch != epoch:
            self.epoch = epoch
            rng = random.Random(epoch)
            runs = list(self.real) + rng.sample(self.made, min(self.some, len(self.made)))
            word, pieces = tools(self.slips, self.vocab, rng)
            self.items = [(r, c) for r in runs for c in chunks(r, pieces, word, True)]
            rng.shuffle(self.items)
        return self.items

    def __getitem__(self, at: int):
        epoch, at = divmod(at, self.each)
        items = self._cut(epoch)
        if self.kit is None:
            self.kit = tools(self.slips, self.vocab, random.Random())
        word, pieces = self.kit
        word.rng.seed(epoch * 100_003 + at)
        word.plain = word.rng.random() < 0.3
        mine = items[at * BATCH : (at + 1) * BATCH] or items[:BATCH]
        return batch_of(mine, self.rows, word, pieces, 50)


def tools(slips, vocab, rng):
    """The wording and the tokenizer."""
    pieces = BertWordPieceTokenizer(str(vocab), lowercase=True)
    word = Wording(slips, rng)
    word.pad, word.cls, word.sep, word.other = (
        pieces.token_to_id(t) for t in ("[PAD]", "[CLS]", "[SEP]", "[MASK]")
    )
    return word, pieces


def loss_of(
    logits: torch.Tensor, yes: torch.Tensor, no: torch.Tensor, index: torch.Tensor
) -> torch.Tensor:
    """Every utterance outside a bag says no; of each bag one says yes."""
    loss = (nn.functional.softplus(logits) * no).sum() + (
        nn.functional.softplus(-logits) * yes
    ).sum()
    if len(index):
        picked = logits[index[..., 0], index[..., 1], index[..., 2], index[..., 3]]
        loss = loss + 1.5 * nn.functional.softplus(-picked.amax(-1)).sum()
    return loss / (1 + len(index))


@torch.no_grad()
def measure(
    model: RunReader, runs: list[dict], rows: list[dict], word: Wording, pieces, device
) -> dict[str, float]:
    """Best F1 of "told" over bags and utterances, its threshold, mean precision; share of places."""
    model.eval()
    word.plain = True
    marks, right, seen = [], 0, 0
    ties, tied = 0, 0
    for run in runs:
        for chunk in chunks(run, pieces, word, train=False):
            state = word.rng.getstate()
            *tensors, asked = batch_of([(run, chunk)], rows, word, pieces, 9999)
            ids, spans, q_ids, which = (t.to(device) for t in tensors[:4])
            mask, q_mask = ids != word.pad, q_ids != word.pad
            word.rng.setstate(state)
            with torch.autocast("cuda", dtype=torch.bfloat16, enabled=device == "cuda"):
                talk = model(ids, mask)[0]
                asks = torch.cat(
                    [
                        model(q_ids[i : i + 256], q_mask[i : i + 256])[1]
                        for i in range(0, len(q_ids), 256)
                    ]
                )
            chance = (
                torch.sigmoid(model.score(talk.float(), asks.float(), which, spans))[0, :, :, TOLD]
                .cpu()
                .numpy()
            )
            told = np.array([rows[q]["kind"] == "told" for q in asked])
            limits = np.array([bool(rows[q].get("limit")) for q in asked])
            for u, (_, _, meant) in enumerate(chunk["numbers"], len(chunk["spans"])):
                if meant:
                    ties += 1
                    tied += int(np.array(asked)[limits][chance[limits, u].argmax()] in meant)
            place = np.array([rows[q]["kind"] == "place" for q in asked])
            for at, bag in answers(run, chunk):
                if bag["skip"]:
                    continue
                best = chance[:, at].max(1)
                truth = np.isin(np.array(asked), bag["said"])
                marks += list(zip(best[told], truth[told], strict=True))
                if bag["place"] >= 0:
                    top = np.array(asked)[place][chance[place][:, at].mean(1).argmax()]
                    right += int(top == bag["place"])
                    seen += 1
    model.train()
    order = sorted(marks, key=lambda m: -m[0])
    hits = np.cumsum([t for _, t in order])
    total = max(1, int(hits[-1]))
    ranks = np.arange(1, len(order) + 1)
    f1 = 2 * hits / (ranks + total)
    at = int(f1.argmax())
    precision = hits / ranks
    mean = float(precision[[i for i, (_, t) in enumerate(order) if t]].mean())
    return {
        "f1": round(float(f1[at]), 4),
        "at": round(float(order[at][0]), 3),
        "mean_precision": round(mean, 4),
        "recall_at_p95": round(
            float(hits[np.flatnonzero(precision >= 0.95)[-1]] / total)
            if (precision >= 0.95).any()
            else 0.0,
            4,
        ),
        "place": round(right / max(1, seen), 4),
        "numbers": round(tied / max(1, ties), 4),
    }


def export(model: RunReader, folder: Path, example) -> None:
    """encoder.onnx with int8 weights, and head.npz."""
    from onnxruntime.quantization import QuantType, quantize_dynamic

    model = model.cpu().float().eval()
    axes = {0: "n", 1: "t"}
    torch.onnx.export(
        model, tuple(e.cpu() for e in example), str(folder / "full.onnx"), input_names=["input_ids", "attention_mask"],
        output_names=["pieces", "asks"], opset_version=17, dynamo=False,
        dynamic_axes={"input_ids": axes, "attention_mask": axes, "pieces": axes, "asks": {0: "n"}},
    )  # fmt: skip
    quantize_dynamic(
        str(folder / "full.onnx"),
        str(folder / "encoder.onnx"),
        weight_type=QuantType.QInt8,
        per_channel=True,
    )
    (folder / "full.onnx").unlink()
    first, last = model.judge[0], model.judge[3]
    np.savez(
        folder / "head.npz",
        **{
            k: v.detach().numpy().astype(np.float32)
            for k, v in {
                "w1": first.weight.T,
                "b1": first.bias,
                "w2": last.weight.T,
                "b2": last.bias,
            }.items()
        },
    )


def main(words: list[str]) -> int:
    """Train, measure, export."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--base", required=True, type=Path)
    parser.add_argument("--data", required=True, type=Path)
    parser.add_argument("--out", required=True, type=Path)
    parser.add_argument("--slips", type=Path)
    parser.add_argument("--epochs", type=int, default=30)
    parser.add_argument("--made", type=int, default=300, help="made runs in each epoch")
    parser.add_argument("--workers", type=int, default=12)
    parser.add_argument("--seconds", type=float, default=3600, help="stop learning after so long")
    parser.add_argument("--rate", type=float, default=2e-4)
    parser.add_argument(
        "--without", default="", help="script ids kept from the training, for calibration"
    )
    args = parser.parse_args(words)
    args.out.mkdir(parents=True, exist_ok=True)
    torch.manual_seed(7)
    rng = random.Random(7)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    with gzip.open(args.data, "rt", encoding="utf-8") as source:
        data = json.load(source)
    rows = data["questions"]
    slips = json.loads(args.slips.read_text()) if args.slips else {}
    vocab = (args.base / "vocab.txt").read_text("utf-8")
    (args.out / "vocab.txt").write_text(vocab, "utf-8")
    word, pieces = tools(slips, args.out / "vocab.txt", rng)
    encoder = AutoModel.from_pretrained(args.base).float()
    model = RunReader(encoder).to(device)
    held = set(filter(None, args.without.split(",")))
    real = [r for r in data["tune"] if r["id"].split("/")[0] not in held]
    groups = [
        {"params": model.encoder.parameters(), "lr": args.rate},
        {
            "params": [p for n, p in model.named_parameters() if not n.startswith("encoder")],
            "lr": 2e-3,
        },
    ]
    optimiser = torch.optim.AdamW(groups, weight_decay=0.01)
    batches = Batches(
        real, data["made"], args.made, rows, slips, args.out / "vocab.txt", args.epochs
    )
    steps = len(batches)
    print(f"{len(real)} runs, {steps} steps", flush=True)
    loader = torch.utils.data.DataLoader(batches, batch_size=None, num_workers=args.workers)
    begun, total = time.time(), torch.zeros((), device=device)
    top = [group["lr"] for group in groups]
    for step, (*tensors, _) in enumerate(loader, 1):
        done = max(step / steps, (time.time() - begun) / args.seconds)
        for group, rate in zip(
            optimiser.param_groups, top, strict=True
        ):  # up fast, down in a cosine
            group["lr"] = rate * (
                min(1.0, done / 0.08)
                if done < 0.08
                else 0.5 + 0.5 * math.cos(math.pi * (done - 0.08) / 0.92)
            )
        ids, spans, q_ids, which, yes, no, index = (
            t.to(device, non_blocking=True) for t in tensors
        )
        with torch.autocast("cuda", dtype=torch.bfloat16, enabled=device == "cuda"):
            talk = model(ids, ids != word.pad)[0]
            asks = model(q_ids, q_ids != word.pad)[1]
        loss = loss_of(model.score(talk.float(), asks.float(), which, spans), yes, no, index)
        optimiser.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimiser.step()
        total += loss.detach()
        if step % 500 == 0 or step == steps:
            print(
                f"step {step}: loss {float(total) / 500:.4f} {time.time() - begun:.0f} s",
                flush=True,
            )
            total.zero_()
        if step == steps or done >= 1.0:
            typed = [r for r in data["check"] if r["source"] == "typed"][-6:]
            heard = [r for r in data["check"] if r["source"] == "heard"][:3]
            kept = measure(model, typed, rows, word, pieces, device)
            print(
                f"typed {kept}"
                + (f" heard {measure(model, heard, rows, word, pieces, device)}" if heard else ""),
                flush=True,
            )
            break
    example = (torch.ones(2, 8, dtype=torch.long), torch.ones(2, 8, dtype=torch.long))
    export(model, args.out, example)
    body = {
        "format": 1, "base": "all-MiniLM-L6-v2 (Apache-2.0)", "chunk": CHUNK, "context": CONTEXT, "question": QUESTION,
        "heads": HEADS, "width": WIDTH, "trained_on": {"runs": len(real), "data": sums(args.data), "without": sorted(held)},
        "check_part": kept, "sha256": {n: sums(args.out / n) for n in ("encoder.onnx", "head.npz", "vocab.txt")},
    }  # fmt: skip
    (args.out / "reader.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
