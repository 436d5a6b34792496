"""SubRip (.srt) and WebVTT (.vtt) captions.

Decides: what is a cue, who speaks in it, and what in the file is broken.
Conventions: lines end in LF, CR or CRLF. WebVTT follows "WebVTT: The Web Video Text Tracks Format"
(W3C Candidate Recommendation, sections 4.1 file structure, 4.2.2 cue text, 6.1-6.4 parsing) with
one difference: a block the specification tells players to skip is reported as a fault here. SubRip
has no standard; the usual form is taken (number, ``hh:mm:ss,mmm --> hh:mm:ss,mmm``, text).
Public: `looks_like_srt`, `read_srt`, `read_vtt`, `as_srt`, `as_vtt`.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from walkgrade.speech.cues import Cue, LineFault, clock, split_label
from walkgrade.speech.records import Transcript

ARROW = "-->"
_VTT_TIME = re.compile(r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})")
_SRT_TIME = re.compile(r"(\d{1,3}):([0-5]\d):([0-5]\d)[,.](\d{3})")
_SRT_MARKUP = re.compile(r"</?(?:[biu]|font)(?:\s[^>]*)?>|\{\\[^}]*\}", re.IGNORECASE)
_VTT_TAG = re.compile(r"<([^>]*)>?")
_VOICE = re.compile(r"v(?:\.[^\s]*)?\s+(?P<name>.+)", re.DOTALL)

Block = list[tuple[int, str]]
Read = tuple[list[Cue], list[LineFault]]


def looks_like_srt(text: str) -> bool:
    """True when one of the first three lines holds the times of a SubRip cue and nothing else."""
    line = rf"\s*{_SRT_TIME.pattern}\s*{ARROW}\s*{_SRT_TIME.pattern}\s*"
    return any(re.fullmatch(line, head) for head in _lines(text)[:3])


def read_srt(text: str) -> Read:
    """Cues and faults of a SubRip file."""
    cues: list[Cue] = []
    faults: list[LineFault] = []
    for block in _blocks(_lines(text), first=1):
        timing = next((at for at, (_, line) in enumerate(block[:2]) if ARROW in line), None)
        line = block[0][0]
        if timing is None:
            faults.append(_broken(line, f"no times in the block that begins {block[0][1][:40]!r}"))
            continue
        times = _times(block[timing], _SRT_TIME, "hh:mm:ss,mmm --> hh:mm:ss,mmm")
        if isinstance(times, LineFault):
            faults.append(times)
            continue
        words = _SRT_MARKUP.sub("", "\n".join(line for _, line in block[timing + 1 :]))
        cues.extend(_by_label(block[timing][0], times, words))
    return cues, faults


def read_vtt(text: str) -> Read:
    """Cues and faults of a WebVTT file (the caller has seen its ``WEBVTT`` line)."""
    cues: list[Cue] = []
    faults: list[LineFault] = []
    for block in _after_header(_blocks(_lines(text.replace("\0", "\ufffd")), first=1)):
        timing = next((at for at, (_, line) in enumerate(block[:2]) if ARROW in line), None)
        line, opening = block[0]
        if timing is None:
            if not re.match(r"(NOTE|STYLE|REGION)(\s|$)", opening):
                faults.append(_broken(line, f"no times in the block that begins {opening[:40]!r}"))
            continue
        times = _times(block[timing], _VTT_TIME, "hh:mm:ss.mmm --> hh:mm:ss.mmm")
        if isinstance(times, LineFault):
            faults.append(times)
            continue
        payload = "\n".join(line for _, line in block[timing + 1 :])
        cues.extend(_voices(block[timing][0], times, payload))
    return cues, faults


def as_srt(transcript: Transcript) -> str:
    """SubRip text, one cue a segment; a speaker becomes a "Name: " prefix."""
    parts = []
    for number, segment in enumerate(transcript.segments, start=1):
        times = f"{clock(segment.start)} {ARROW} {clock(segment.end)}".replace(".", ",")
        label = f"{segment.speaker}: " if segment.speaker else ""
        parts.append(f"{number}\n{times}\n{label}{segment.text}\n")
    return "\n".join(parts)


def as_vtt(transcript: Transcript) -> str:
    """WebVTT text, one cue a segment; a speaker becomes a voice tag."""
    parts = ["WEBVTT\n"]
    for segment in transcript.segments:
        text = _escaped(segment.text)
        if segment.speaker:
            text = f"<v {_escaped(segment.speaker)}>{text}"
        parts.append(f"{segment.id}\n{clock(segment.start)} {ARROW} {clock(segment.end)}\n{text}\n")
    return "\n".join(parts)


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _lines(text: str) -> list[str]:
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _blocks(lines: list[str], *, first: int) -> Iterator[Block]:
    """Runs of lines without an empty one, each line with its number."""
    block: Block = []
    for number, line in enumerate(lines, start=first):
        if line.strip():
            block.append((number, line))
        elif block:
            yield block
            block = []
    if block:
        yield block


def _after_header(blocks: Iterator[Block]) -> Iterator[Block]:
    """The blocks after WEBVTT; a cue that follows it without an empty line counts too."""
    header = next(blocks, [])
    if any(ARROW in line for _, line in header[1:]):
        yield header[1:]
    yield from blocks


def _times(
    line: tuple[int, str], form: re.Pattern[str], wanted: str
) -> tuple[int, int] | LineFault:
    number, text = line
    found = re.fullmatch(rf"\s*({form.pattern})\s*{ARROW}\s*({form.pattern})(?:\s.*)?", text)
    if found is None:
        return _broken(number, f"bad times {text.strip()[:60]!r}; wanted {wanted}")
    groups = found.groups()
    return _ms(groups[1:5]), _ms(groups[6:10])


def _ms(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, thousandths = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + thousandths


def _by_label(line: int, times: tuple[int, int], text: str) -> Iterator[Cue]:
    """One cue, or one for each line that opens with a speaker label."""
    runs: list[tuple[str, str]] = []
    for part in text.split("\n"):
        speaker, rest = split_label(part)
        if speaker or not runs:
            runs.append((speaker, rest))
        else:
            runs[-1] = (runs[-1][0], f"{runs[-1][1]} {rest}")
    yield from _share(line, times, runs)


def _voices(line: int, times: tuple[int, int], payload: str) -> Iterator[Cue]:
    """One cue, or one for each voice span in it; without voice tags labels are looked for."""
    runs: list[tuple[str, str]] = []
    speaker, at = "", 0
    for tag in _VTT_TAG.finditer(payload):
        runs.append((speaker, payload[at : tag.start()]))
        at = tag.end()
        voice = _VOICE.fullmatch(tag[1])
        if voice:
            speaker = " ".join(html.unescape(voice["name"]).split())
        elif tag[1].strip() == "/v":
            speaker = ""
    runs.append((speaker, payload[at:]))
    runs = [(name, html.unescape(text)) for name, text in runs]
    if any(name for name, _ in runs):
        yield from _share(line, times, _merged(runs))
    else:
        yield from _by_label(line, times, "".join(text for _, text in runs))


def _merged(runs: list[tuple[str, str]]) -> list[tuple[str, str]]:
    merged: list[tuple[str, str]] = []
    for name, text in runs:
        if merged and merged[-1][0] == name:
            merged[-1] = (name, merged[-1][1] + text)
        else:
            merged.append((name, text))
    return merged


def _share(line: int, times: tuple[int, int], runs: list[tuple[str, str]]) -> Iterator[Cue]:
    """Share a cue's time among the speakers in it, by characters."""
    runs = [(name, " ".join(text.split())) for name, text in runs if text.strip()]
    total = sum(len(text) for _, text in runs)
    start, end = times
    done = 0
    for name, text in runs:
        begin = start + round((end - start) * done / total)
        done += len(text)
        stop = start + round((end - start) * done / total)
        yield Cue(line=line, start=begin, end=stop, text=text, speaker=name)


def _broken(line: int, message: str) -> LineFault:
    return LineFault(line=line, code="I23", message=message)
