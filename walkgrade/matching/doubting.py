"""Where the readers are believed less than they believe themselves.

Decides: by how much their answers count in an utterance that echoes, guesses, was not looked at,
claims everything at once, or talks of another vehicle: things they were shown too few of to know.
Conventions: factors 0..1 multiply the probability of an answer; the smallest one counts.
Public: `doubt`.
"""

from __future__ import annotations

from walkgrade.matching.moment import Moment

_ELSEWHERE = 0.02  # another vehicle
_UNCHECKED = 0.1  # "I'd have to look"
_GUESSED = 0.1  # two hedges in one breath
_ECHO = 0.2  # "same as the front": what was not earned there is not earned here
_CARRIES = 0.5  # so likely an utterance must say so; "worn the same all over" does not
_BLANKET = 0.1  # "everything is good here", and no part named that it could speak of


def doubt(moment: Moment, *, elsewhere: bool, unnamed: bool = False) -> None:
    """Note the doubts about one utterance; `elsewhere`: it is all about another vehicle; `unnamed`:
    it is a blanket claim about parts that nobody named."""
    opinions, utterance = moment.opinions, moment.utterance
    if opinions is None:
        return
    hedges = sum(name == "hedge" for name, _, _ in utterance.cues)
    factor = min(
        _ELSEWHERE if elsewhere else 1.0,
        _UNCHECKED if utterance.has("unchecked") else 1.0,
        _GUESSED if hedges >= 2 else 1.0,
        _BLANKET if unnamed else 1.0,
    )
    echo = utterance.has("same") and opinions.carries(moment.at) >= _CARRIES
    for one in opinions.at(moment.at) if echo or factor < 1.0 else ():
        for target in one.targets:
            mine = min(factor, _ECHO) if echo and _echoes(target, moment) else factor
            if mine < 1.0:
                opinions.doubt(moment.at, target, mine)


def _echoes(target: str, moment: Moment) -> bool:
    """True when the requirement could be taken over, but nothing there was earned."""
    owner = moment.scene.owner.get(target)
    if owner is None or not owner.carry_over:
        return False
    short = target.removeprefix(owner.id + ".")
    return not any(moment.ledger.earned(f"{twin}.{short}") for twin in owner.carry_over)
