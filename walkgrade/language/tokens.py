"""Words of a transcript cut into tokens and utterances.

Decides: token boundaries (hyphens and slashes of words part, those of fractions stay) and where a
sentence-sized utterance ends.
Conventions: times in milliseconds; a written pause of `_PAUSE_MS` ends an utterance; in typed text
without times each line ends one.
Public: `cut`, `written`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from walkgrade.language.records import Token
from walkgrade.language.words import norm, stem
from walkgrade.speech.records import Segment, Transcript

_PAUSE_MS = 2500
_LONGEST = 60  # tokens; recognisers sometimes lose all punctuation
_ENDS = (".", "!", "?")
_FRACTION = re.compile(r"^[^\w.]*(?:\d+-)?\d+/\d+")
_RANGE = re.compile(r"^\W*(\d+)\s*[-\u2013]\s*(\d+)(\D*)$")
_ABBREVIATIONS = {
    "p.s.i": ("psi",),
    "u.s": ("us",),
    "a.b.s": ("abs",),
    "d.o.t": ("dot",),
    "m.p.h": ("mph",),
    "l.e.d": ("led",),
    "d.e.f": ("def",),
}
_JOINED = re.compile(r"^(\d+(?:\.\d+)?)(psi|mph|volts?|inch(?:es)?|v|lbs?|degrees|in|rpm)$")
_GLUED = {"v": "volts", "in": "inch"}


@dataclass(frozen=True, slots=True)
class Cut:
    """Tokens of one utterance and who spoke them."""

    tokens: tuple[Token, ...]
    speaker: str
    question: bool
    segment: str


def cut(transcript: Transcript) -> tuple[Cut, ...]:
    """All utterances in time order; segments of one speaker run on unless a line is a sentence."""
    cuts: list[Cut] = []
    tokens: list[Token] = []
    speaker, segment_id = "", ""

    def close(question: bool = False) -> None:
        if tokens:
            cuts.append(Cut(tuple(_spelled(tokens)), speaker, question, segment_id))
            tokens.clear()

    for segment in transcript.segments:
        if tokens and (segment.speaker != speaker or transcript.origin == "typed"):
            close()
        speaker = segment.speaker
        for word in segment.words:
            if tokens and word.start - tokens[-1].end >= _PAUSE_MS:
                close()
            if not tokens:
                segment_id = segment.id
            pieces = _pieces(
                word.text, word.start, word.end, word.prob, tokens[-1].text if tokens else ""
            )
            tokens.extend(pieces)
            if _ends(word.text) or (len(tokens) >= _LONGEST and _may_end(word.text)):
                close(word.text.rstrip("\"')").endswith("?"))
    close()
    return tuple(cuts)


def _spelled(tokens: list[Token]) -> list[Token]:
    """Letters spelled one by one ("A B S", "P S I") joined to one token."""
    joined: list[Token] = []
    run: list[Token] = []
    for token in [*tokens, None]:
        bare = token.text.strip(".,;:!?") if token is not None else ""
        if (
            token is not None
            and len(bare) == 1
            and bare.isalpha()
            and bare.isupper()
            and not (run and token.breaks)
        ):
            run.append(token)
            continue
        if len(run) >= 2:
            text = "".join(t.text.strip(".,;:!?") for t in run)
            low = norm(text)
            joined.append(
                Token(
                    text=text,
                    norm=low,
                    stem=stem(low),
                    start=run[0].start,
                    end=run[-1].end,
                    prob=min(t.prob for t in run),
                    breaks=run[0].breaks,
                )
            )
        else:
            joined.extend(run)
        run = []
        if token is not None:
            joined.append(token)
    return joined


def _ends(text: str) -> bool:
    bare = text.rstrip("\"')\u201d")
    if bare.endswith(("...", "\u2026")):
        return False
    return bare.endswith(_ENDS) and norm(bare) not in _ABBREVIATIONS


def _may_end(text: str) -> bool:
    return text.endswith(",") or text.endswith(";")


def _pieces(text: str, start: int, end: int, prob: float, before: str) -> list[Token]:
    """Tokens of one written word; their times share its span by letters."""
    breaks = _break_after(before)
    parts = _split(text)
    step = (end - start) / max(1, len(parts))
    made = []
    for at, part in enumerate(parts):
        bare = norm(part)
        if not bare or not any(sign.isalnum() for sign in bare):
            continue
        made.append(
            Token(
                text=part, norm=bare, stem=stem(bare), prob=prob,
                start=round(start + at * step), end=round(start + (at + 1) * step),
                breaks=breaks if at == 0 else "",
            )
        )  # fmt: skip
    return made


def _split(text: str) -> list[str]:
    if norm(text) in _ABBREVIATIONS:
        return list(_ABBREVIATIONS[norm(text)])
    found = _RANGE.match(text)
    if found:
        return [found[1], "to", *_split(found[2] + found[3])]
    joined = _JOINED.match(norm(text))
    if joined:
        return [joined[1], _GLUED.get(joined[2], joined[2])]
    if _FRACTION.match(text):
        ranged = re.sub(r"(/\d+)-(?=\d+/)", r"\1-to-", text)
        return [piece for piece in ranged.split("-") if piece]
    pieces = [piece for piece in re.split(r"[-/\u2013\u2014]+", text) if piece]
    return pieces or [text]


def _break_after(text: str) -> str:
    bare = text.rstrip("\"')\u201d")
    if bare.endswith((";", ":", "--", "\u2014")):
        return ":" if bare.endswith(":") else ";"
    if bare.endswith((",", "...", "\u2026", ".")):
        return ","
    return ""


def segment_speakers(segments: tuple[Segment, ...]) -> tuple[str, ...]:
    """Speaker label of each segment, one entry a word, for counting who speaks most."""
    return tuple(segment.speaker for segment in segments for _ in segment.words)


def written(tokens: tuple[Token, ...]) -> str:
    """The words as a reader sees them: punctuation within only where a break was written."""
    text = ""
    for token in tokens:
        gap = ", " if token.breaks and text else " " if text else ""
        text += gap + token.text.strip(",;:")
    return text
