"""Spoken tune scripts for training the recogniser: sound, line times, and words as its tokens.

    python models/recogniser_data.py --out DIR [--share 0/2] [--voices flite-slt,piper-joe]
    python models/recogniser_data.py --out DIR --general FORTUNES
    python models/recogniser_data.py --out DIR --words tiny.en

Decides: which scripts are spoken (the tune part without tune-410 to tune-439, whose runs fit the
judge), by which of the part's voices each (in turn), and how a line is written: as its script
writes it, numbers as they were said ("four thirty-seconds of an inch"), since digits leave open
what was said. General talk (`--general`) is plain sentences of the sayings in FORTUNES, the folder
/usr/share/games/fortunes of Debian's package fortunes; of it only the sound is used and, of its
words, how many there are. `--words MODEL` writes ``words-MODEL.json.gz`` for the
recordings that are there.
"""

from __future__ import annotations

import argparse
import gzip
import json
import random
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks.agreement import fitted, scripts  # noqa: E402
from seeds.speak import RATE, cached_line, speak_script  # noqa: E402
from seeds.spoken import spoken  # noqa: E402
from seeds.voices import voice  # noqa: E402
from walkgrade.language.expected import expected_words  # noqa: E402
from walkgrade.speech.models import resolve_model  # noqa: E402

KEPT_APART = range(410, 440)
SPEAKERS = (
    "flite-slt", "flite-kal", "festival-slt", "piper-joe", "espeak-us", "espeak-us-m1",
    "flite-slt", "piper-joe", "espeak-us-f1", "festival-kal", "espeak-us-m5", "espeak-gb",
    "piper-joe", "espeak-us-fast", "flite-kal", "espeak-lancaster",
)  # fmt: skip
BIT_RATE = 14_000
TOPICS = (
    "cookie", "literature", "wisdom", "work", "people", "men-women", "love", "science", "sports",
    "kids", "humorists", "fortunes", "education", "food", "law", "medicine", "pets", "politics",
    "miscellaneous", "riddles", "songs-poems", "translate-me",
)  # fmt: skip
TALKS, SAYINGS = 48, 14
"""General recordings, and sayings in each."""


def trained_on() -> list[Any]:
    """The scripts that may be spoken, in a fixed mixed order."""
    free = [s for s in scripts("tune") if s.id.startswith("tune-")]
    free = [s for s in free if int(re.sub(r"\D", "", s.id)) not in KEPT_APART]
    free.sort(key=lambda script: script.id)
    random.Random(11).shuffle(free)
    return free


def write_opus(place: Path, samples: Any) -> None:
    """Ogg Opus by PyAV, whose encoder is many times faster than libsndfile's."""
    import av
    import numpy as np

    scratch = place.with_suffix(".part")
    with av.open(str(scratch), "w", format="ogg") as out:
        stream: Any = out.add_stream("libopus", rate=RATE, layout="mono")
        stream.bit_rate = BIT_RATE
        whole = (np.clip(samples, -1, 1) * 32767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(whole[None], format="s16", layout="mono")
        frame.sample_rate, frame.pts = RATE, 0
        for made in (*stream.encode(frame), *stream.encode(None)):
            out.mux(made)
    scratch.replace(place)


def speak(out: Path, share: int, shares: int, voices: Sequence[str]) -> None:
    for at, script in enumerate(trained_on()):
        name = voices[at % len(voices)]
        place = out / f"{script.id}--{name}.opus"
        if at % shares != share or place.exists():
            continue
        made = speak_script(script, name, "clean")
        side = {"script": script.id, "voice": name, "times": made.times, "texts": made.texts}
        place.with_suffix(".json").write_text(json.dumps(side), encoding="utf-8")
        write_opus(place, made.samples)
        print(f"{place.name}: {len(made.samples) / RATE:.0f} s", flush=True)


def sayings(folder: Path) -> list[str]:
    """Plain sentences, in a fixed mixed order."""
    texts = []
    for topic in TOPICS:
        place = folder / topic
        if not place.exists():
            continue
        for saying in place.read_text(encoding="utf-8", errors="ignore").split("\n%\n"):
            text = re.sub(r"\s+", " ", re.sub(r"\n\s*--.*", "", saying, flags=re.S)).strip()
            plain = re.fullmatch(r"[A-Za-z ,.'?!;:\"-]{61,329}", text)
            if plain and not re.search(r"[A-Z]{3}", text):
                texts.append(text.replace('"', ""))
    random.Random(5).shuffle(texts)
    return texts


def speak_general(out: Path, folder: Path, share: int, shares: int) -> None:
    """Sayings, half a second between them, by all voices but the slowest to speak."""
    import numpy as np

    texts, gap = sayings(folder), np.zeros(RATE // 2, dtype=np.float32)
    names = [name for name in SPEAKERS if not name.startswith("festival")] + ["festival-slt"]
    for at in range(share, TALKS, shares):
        name, mine = names[at % len(names)], texts[at * SAYINGS : (at + 1) * SAYINGS]
        pieces, times, now = [], [], 0
        for text in mine:
            sound = cached_line(text, voice(name))
            now += len(gap)
            times.append((now * 1000 // RATE, (now + len(sound)) * 1000 // RATE))
            now += len(sound)
            pieces += [gap, sound]
        place = out / f"general-{at}--{name}.opus"
        side = {"script": "general", "voice": name, "times": times, "texts": mine}
        place.with_suffix(".json").write_text(json.dumps(side), encoding="utf-8")
        write_opus(place, np.concatenate([*pieces, gap]))
        print(f"{place.name}: {now / RATE:.0f} s", flush=True)


def write_words(out: Path, model: str) -> None:
    """The words of every recording in `out` as tokens of `model`."""
    from tokenizers import Tokenizer

    known = {script.id: script for script in scripts("tune")}
    folder = resolve_model(model).folder
    tokenizer = Tokenizer.from_file(str(folder / "tokenizer.json"))
    number = tokenizer.token_to_id
    start = ["<|startoftranscript|>", "<|notimestamps|>"]
    if not model.endswith(".en"):
        start[1:1] = ["<|en|>", "<|transcribe|>"]
    marks = {
        "before": number("<|startofprev|>"),
        "start": [number(mark) for mark in start],
        "end": number("<|endoftext|>"),
    }

    def tokens(text: str) -> list[int]:
        ids: list[int] = tokenizer.encode(" " + text.strip(), add_special_tokens=False).ids
        return ids

    runs = {}
    for side in sorted(out.glob("*.json")):
        data = json.loads(side.read_text(encoding="utf-8"))
        script = known.get(data["script"])
        told = expected_words(fitted(script)) if script else ()
        runs[side.stem] = {
            "times": data["times"],
            "tokens": [tokens(written(text)) for text in data["texts"]],
            "told": [tokens(sentence) for sentence in told],
        }
    place = out / f"words-{model}.json.gz"
    with gzip.open(place, "wt", encoding="utf-8") as file:
        json.dump({"marks": marks, "runs": runs}, file)
    print(f"{place.name}: {len(runs)} runs")


def written(text: str) -> str:
    """The line as the recogniser should write it."""
    if not re.search(r"\d", text):
        return text
    text = spoken(text).replace("P S I", "psi").replace("A B S", "ABS")
    return re.sub(r"\d+(?:\.\d+)?", lambda match: _in_words(match.group(0)), text)


def _in_words(number: str) -> str:
    from num2words import num2words

    return str(num2words(float(number) if "." in number else int(number))).replace(",", "")


def main(words: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(description="Spoken scripts for training the recogniser")
    parser.add_argument("--out", required=True, type=Path)
    parser.add_argument("--share", default="0/1", help="which part of the work, e.g. 0/2")
    parser.add_argument("--voices", default=",".join(SPEAKERS))
    parser.add_argument("--words", metavar="MODEL", help="only write the words, as its tokens")
    parser.add_argument("--general", type=Path, metavar="FORTUNES", help="speak general talk")
    given = parser.parse_args(words)
    share, shares = map(int, given.share.split("/"))
    given.out.mkdir(parents=True, exist_ok=True)
    if given.words:
        write_words(given.out, given.words)
    elif given.general:
        speak_general(given.out, given.general, share, shares)
    else:
        speak(given.out, share, shares, given.voices.split(","))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
