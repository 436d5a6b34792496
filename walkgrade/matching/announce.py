"""Parts presented after their conditions: "Dry, bolted tight. That's the steering box."

Decides: for each utterance without a part, whether the next one presents the part it spoke of.
Conventions: works on the trainee's utterances in order; a speaker who mostly says the part last is
also believed when the part comes bare.
Public: `announced`.
"""

from __future__ import annotations

from collections.abc import Sequence

from walkgrade.language.records import Utterance

_SHOWING = (
    ("that's",), ("this", "is"), ("those", "are"), ("these", "are"), ("that", "is"),
    ("so", "that's"),
    ("that", "one's"), ("this", "one's"), ("and", "that's"), ("that", "was"), ("those", "were"),
    ("i", "mean"), ("that", "one"), ("this", "one"),
)  # fmt: skip
_HABIT = 0.5  # share of utterances with the part last that makes it the speaker's habit


def announced(spoken: Sequence[Utterance]) -> list[Utterance | None]:
    """For each utterance the next one when that presents its part, else None."""
    habit = _says_part_last(spoken)
    found: list[Utterance | None] = []
    for one, two in zip(spoken, [*spoken[1:], None], strict=False):
        found.append(two if two is not None and _presents(one, two, habit) else None)
    return found


def _presents(one: Utterance, two: Utterance, habit: bool) -> bool:
    if not one.conditions or any(not part.sub for part in one.parts):
        return False
    if two.conditions or not any(not part.sub for part in two.parts):
        return False
    words = tuple(token.norm for token in two.tokens)
    shown = any(words[: len(lead)] == lead for lead in _SHOWING) or words[-2:] == ("i", "mean")
    return shown or (habit and len(words) <= 6)


def _says_part_last(spoken: Sequence[Utterance]) -> bool:
    """True for a speaker who mostly names the part after its conditions."""
    first = last = 0
    for utterance in spoken:
        parts = [p for p in utterance.parts if not p.sub]
        if not parts or not utterance.conditions:
            continue
        before = [c for c in utterance.conditions if c.last <= parts[0].first]
        after = [c for c in utterance.conditions if c.first >= parts[-1].last]
        last += bool(before) and not after
        first += bool(after) and not before
    return last > _HABIT * (first + last) and last >= 5
