"""Lines of tune scripts told again: the same in other words, and near twins that say less.

Decides: what a file of retold lines may hold, and what stands around a retold line when something
is learnt from it.
Conventions: JSON lines, one object for each line of a script. `earns` and `wrong` of a variant are
full requirement ids and complete, under the rules of LABELLING.md; numbers are not labelled.
Only lines of tune scripts, never of those kept for the judge (seeds/split.yaml).
Public: `Retold`, `load_retold`, `around`, `FOLDER`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from seeds.script import Script, ScriptLine
from walkgrade.errors import InputError

FOLDER = Path(__file__).resolve().parent / "retold"
_BEFORE, _AFTER = 6, 2  # lines of the script around a retold one


@dataclass(frozen=True, slots=True, kw_only=True)
class Retold:
    """A line that may stand for line `number` (from 1) of the script `of`."""

    of: str
    number: int
    line: ScriptLine


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class _Variant(_Strict):
    text: str = Field(min_length=1, pattern=r"\w")
    earns: list[str]
    wrong: list[str]


class _Lines(_Strict):
    of: str = Field(pattern=r"^tune-\d+$")
    line: int = Field(ge=1)
    variants: list[_Variant] = Field(min_length=1)


def load_retold(path: Path) -> Iterator[Retold]:
    """The retold lines of a file, in order.

    Raises
    ------
    InputError
        ``I91`` when a line is no JSON or breaks the format; file and line are named.
    """
    for at, text in enumerate(path.read_text("utf-8").splitlines(), 1):
        try:
            body = _Lines.model_validate(json.loads(text))
        except (json.JSONDecodeError, ValidationError) as error:
            raise InputError("I91", f"{path}:{at}: no retold line: {error}") from error
        for one in body.variants:
            line = ScriptLine(
                text=" ".join(one.text.split()), pause_ms=400, who="trainee", numbers=(), flags=(),
                earns=_by_item(one.earns), wrong=_by_item(one.wrong),
            )  # fmt: skip
            yield Retold(of=body.of, number=body.line, line=line)


def around(retold: Retold, script: Script) -> tuple[Script, int]:
    """The stretch of the script with the retold line in its place, and which line of it that is
    (from 1)."""
    at = retold.number - 1
    before = script.lines[max(0, at - _BEFORE) : at]
    after = script.lines[at + 1 : at + 1 + _AFTER]
    return replace(script, lines=(*before, retold.line, *after)), len(before) + 1


def _by_item(names: Sequence[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found: dict[str, list[str]] = {}
    for name in dict.fromkeys(names):
        item, short = name.rsplit(".", 1)
        found.setdefault(item, []).append(short)
    return tuple((item, tuple(shorts)) for item, shorts in found.items())
