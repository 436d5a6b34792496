"""Which lines of a script say that something is as it was told before, and of which parts.

Decides: a line carries over when it earns what was earned before at a twin place, and either says
so or is too short to have told it anew; what cannot be known is left open.
Public: `Carried`, `carried_lines`, `as_before`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from seeds.script import Script, ScriptLine
from walkgrade.checklists.records import Checklist
from walkgrade.language.questions import QuestionKind
from walkgrade.language.tokens import Cut, written

_CARRIES = re.compile(
    r"\b(same|ditto|likewise|identical(ly)?|just like|match(es)?|mirror (image|of)|repeat|no different|"
    r"goes for|copy of|equal(ly)?|similar|like the (other|front|left|first|right|rear)|"
    r"as (before|on the|up front|with the|in front|i said)|whatever i|what i (said|told)|see the|how .* how)\b",
    re.I,
)
_PERHAPS = re.compile(
    r"\b(also|too|both|again|as well|either|each|all|twin|so (is|are|does|do))\b", re.I
)
_DENSE = 2.5  # words for each requirement below which nobody told them one by one


class Carried(NamedTuple):
    """Whether a line carries over: 1, 0, or None (unknown); and the items it takes over."""

    says: int | None
    items: frozenset[str] = frozenset()


def carried_lines(script: Script, checklist: Checklist) -> list[Carried]:
    """For each line of a script."""
    over = {item.id: item.carry_over for item in checklist.items}
    earned: set[str] = set()
    found: list[Carried] = []
    for line in script.lines:
        mine = {f"{item}.{short}" for item, shorts in line.earns for short in shorts}
        twins = [
            one for one in mine
            if any(f"{t}.{one.rsplit('.', 1)[1]}" in earned for t in over.get(one.rsplit(".", 1)[0], ()))
        ]  # fmt: skip
        words = len(line.text.split())
        if line.who != "trainee":
            found.append(Carried(None))
        elif twins and (_CARRIES.search(line.text) or words < _DENSE * len(mine)):
            found.append(Carried(1, frozenset(one.rsplit(".", 1)[0] for one in twins)))
        elif _CARRIES.search(line.text) or (twins and _PERHAPS.search(line.text)):
            found.append(Carried(None))
        else:
            found.append(Carried(0))
        earned |= mine
    return found


def as_before(
    carried: Carried,
    at: Sequence[int],
    pieces: Sequence[Cut],
    line: ScriptLine,
    where: dict[tuple[str, str], int],
) -> dict[str, Any]:
    """What a bag says of carry-over: `same` (the utterance that says it, numbers of the parts' NAMED
    questions, and those about which the line leaves it open), or `fresh` (it says nothing of it)."""
    if carried.says == 0:
        return {"fresh": 1}
    saying = [u for u in at if _CARRIES.search(written(pieces[u].tokens))]
    saying = saying or (list(at) if len(at) == 1 else [])
    if carried.says is None or not saying:
        return {}
    spoken = {item for item, _ in (*line.earns, *line.wrong)}

    def numbers(items: frozenset[str] | set[str]) -> list[int]:
        asked = ((QuestionKind.NAMED, one) for one in items)
        return sorted({where[one] for one in asked if one in where})

    return {"same": {"u": saying[0], "yes": numbers(carried.items),
                     "open": numbers(spoken - carried.items)}}  # fmt: skip
