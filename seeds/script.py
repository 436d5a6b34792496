"""Scripts: spoken runs written by hand, line by line, with their truth (see LABELLING.md).

Decides: what a script file may hold. Unknown keys, values of the wrong type and lines without
words are refused, all at once, each with file, line and path.
Conventions: pauses in seconds in the file, whole milliseconds in the transcript; numbers are
exact fractions; requirement ids under `earns` and `wrong` are short (`tread`), those under
`numbers` are full (`front-axle.tyre.tread`).
Public: `load_script`, `to_transcript`, and the records `Script`, `ScriptLine`, `SpokenNumber`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal, get_args

import yaml
from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from walkgrade.errors import Fault, InputError
from walkgrade.speech.records import Segment, Transcript, Word

# The C parser is about ten times faster; it is absent where PyYAML was built without libyaml.
_LOADER: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

WORDS_PER_MINUTE = 150
"""US English conversation, average: National Center for Voice and Speech (second hand)."""

DEFAULT_PAUSE_S = 0.4

Who = Literal["trainee", "examiner", "other"]
Part = Literal["tune", "check", "report"]
Flag = Literal[
    "blanket", "late", "hedge", "vague", "no-condition", "no-part", "other-vehicle", "defect"
]
ComparatorWord = Literal["at least", "at most", "above", "below", "between", "about", "exactly"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SpokenNumber:
    """A number that speaks to a limit; `high` only for a range; `right` is the examiner's view."""

    requirement: str
    low: Fraction
    high: Fraction | None
    unit: str
    comparator: str
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptLine:
    """One breath: what is said, by whom, after `pause_ms` of silence, and what it is worth.

    `earns` and `wrong` pair an item id with short requirement ids; an empty tuple under `earns`
    means named only.
    """

    text: str
    pause_ms: int
    who: str
    earns: tuple[tuple[str, tuple[str, ...]], ...]
    wrong: tuple[tuple[str, tuple[str, ...]], ...]
    numbers: tuple[SpokenNumber, ...]
    flags: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Script:
    """A whole run; `profile` and `checklist` are ids; `part` is its side of the split."""

    id: str
    checklist: str
    profile: str
    speaker: str
    part: str
    complete_run: bool
    lines: tuple[ScriptLine, ...]

    @property
    def word_count(self) -> int:
        """Spoken words of all voices."""
        return sum(len(line.text.split()) for line in self.lines)


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _NumberModel(_Strict):
    requirement: str = Field(min_length=3)
    low: str | int | float
    high: str | int | float | None = None
    unit: str
    comparator: ComparatorWord
    right: bool

    @field_validator("low", "high")
    @classmethod
    def _is_number(cls, value: str | int | float | None) -> str | int | float | None:
        if value is not None:
            _fraction(value)
        return value


class _LineModel(_Strict):
    text: str = Field(min_length=1, pattern=r"\w")
    pause: float = Field(default=DEFAULT_PAUSE_S, ge=0, le=120)
    who: Who = "trainee"
    earns: dict[str, list[str]] = Field(default_factory=dict)
    wrong: dict[str, list[str]] = Field(default_factory=dict)
    numbers: list[_NumberModel] = Field(default_factory=list)
    flags: list[Flag] = Field(default_factory=list)


class _ScriptModel(_Strict):
    format: Literal[1]
    id: str = Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")
    checklist: str = Field(min_length=1)
    profile: str = Field(min_length=1)
    speaker: str = Field(min_length=1)
    part: Part
    complete_run: bool = True
    lines: list[_LineModel] = Field(min_length=1)


def _fraction(value: str | int | float) -> Fraction:
    """``"4/32"``, ``"1 1/2"``, ``"0.5"``, ``60`` as an exact fraction."""
    try:
        return sum((Fraction(piece) for piece in str(value).split()), Fraction(0))
    except (ValueError, ZeroDivisionError):
        raise ValueError(f"not a number: {value!r}; write 60, '4/32', '1 1/2' or '0.5'") from None


def load_script(path: str | Path) -> Script:
    """Read and check one script file.

    Raises
    ------
    InputError
        ``I91`` when the file cannot be read, is not YAML or breaks the format; every fault is
        listed with file, line and path.
    """
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8")
        data = yaml.load(text, Loader=_LOADER)
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise InputError("I91", f"{path}: no readable script: {error}") from error
    try:
        model = _ScriptModel.model_validate(data)
    except ValidationError as error:
        node = yaml.compose(text, Loader=_LOADER)
        faults = [
            Fault(
                file=str(path),
                line=_line_of(node, one["loc"]),
                path=".".join(str(step) for step in one["loc"]),
                message=f"{one['msg']} (got {one['input']!r:.60})",
            )
            for one in error.errors()
        ]
        raise InputError(
            "I91",
            f"{len(faults)} fault(s) in script {path}:\n" + "\n".join(str(f) for f in faults),
            "See seeds/LABELLING.md.",
        ) from error
    if model.id != path.stem:
        raise InputError("I91", f"{path}: id {model.id!r} differs from the file name.")
    return _to_record(model)


def _line_of(node: Any, loc: tuple[int | str, ...]) -> int:
    """Line (from 1) of the deepest YAML node on the way to `loc`; 0 for an empty file."""
    line = node.start_mark.line + 1 if node is not None else 0
    for step in loc:
        if isinstance(node, yaml.MappingNode):
            pair = next((p for p in node.value if p[0].value == str(step)), None)
            if pair is None:
                return line
            line, node = pair[0].start_mark.line + 1, pair[1]
        elif isinstance(node, yaml.SequenceNode) and isinstance(step, int):
            node = node.value[step]
            line = node.start_mark.line + 1
        else:
            return line
    return int(line)


def _to_record(model: _ScriptModel) -> Script:
    fields = ("id", "checklist", "profile", "speaker", "part", "complete_run")
    return Script(
        **{name: getattr(model, name) for name in fields},
        lines=tuple(
            ScriptLine(
                text=" ".join(line.text.split()),
                pause_ms=round(line.pause * 1000),
                who=line.who,
                earns=tuple((item, tuple(reqs)) for item, reqs in line.earns.items()),
                wrong=tuple((item, tuple(reqs)) for item, reqs in line.wrong.items()),
                numbers=tuple(_number(one) for one in line.numbers),
                flags=tuple(line.flags),
            )
            for line in model.lines
        ),
    )


def _number(one: _NumberModel) -> SpokenNumber:
    return SpokenNumber(
        requirement=one.requirement,
        low=_fraction(one.low),
        high=None if one.high is None else _fraction(one.high),
        unit=one.unit,
        comparator=one.comparator,
        right=one.right,
    )


def to_transcript(script: Script) -> Transcript:
    """The script as a typed transcript, one segment a line, `speaker` as labelled.

    Times are estimates: `WORDS_PER_MINUTE` for every word, the written pause before each line.
    """
    per_word = 60_000 // WORDS_PER_MINUTE
    segments, now = [], 0
    for number, line in enumerate(script.lines, 1):
        now += line.pause_ms
        words = tuple(
            Word(text=text, start=now + at * per_word, end=now + (at + 1) * per_word)
            for at, text in enumerate(line.text.split())
        )
        end = words[-1].end
        segments.append(Segment(id=f"l{number}", start=now, end=end, words=words, speaker=line.who))
        now = end
    return Transcript(
        id=script.id, segments=tuple(segments), duration=now, origin="typed", timed=True
    )


FLAGS: tuple[str, ...] = get_args(Flag)
