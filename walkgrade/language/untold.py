"""Numbers that tell nothing of this vehicle.

Decides: which numbers nobody states: those asked for, denied, counting parts, quoted to be taken
back ("I said four, and four's with a trailer") or the rule for another kind of vehicle or part.
Conventions: token positions of one utterance, ends exclusive.
Public: `tells_nothing`, `comes_back`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from walkgrade.language.records import NumberMention, PartMention, Token

_TAGS = (("isn't", "it"), ("right",), ("no",), ("yeah",), ("yes",), ("correct",), ("huh",), ("eh",))
_GUESSES = frozenset(("think", "guess", "say", "maybe", "believe"))
"""Words that make "thirty-five?" an answer that the speaker is not sure of."""
_SAID, _AS = frozenset(("said", "told")), frozenset(("like", "as"))
_BETWEEN = frozenset(("you", "it", "him", "her", "was", "a", "an", "the", "earlier", "before"))
_QUOTED_WITHIN = 4  # tokens between "I said" and the number
_KINDS = frozenset(("combination", "combinations", "trailer", "trailers", "semi", "semis"))
_SINGLE = frozenset(("single", "singles", "straight"))
_FOR = frozenset(("for", "with", "on"))
_NAMED_WITHIN = 5  # tokens between "is for" and the kind of vehicle
_MINE = frozenset(("me", "mine", "us", "ours", "this", "my", "our", "single"))
_MINE_AFTER = 4  # tokens of "for me" behind the number
_BELONGS = (("belongs", "to"), ("goes", "with"), ("applies", "to"))
_OLD = frozenset(("old", "older"))
_SORT = frozenset(("ones", "kind", "type", "style"))
_OLD_WITHIN = 8  # tokens between "the old kind" and the number


def tells_nothing(
    number: NumberMention,
    tokens: Sequence[Token],
    parts: Sequence[PartMention],
    *,
    question: bool,
    vehicle: Collection[str],
) -> bool:
    """True for a number that states neither a rule nor a reading of this vehicle.

    `question`: the utterance ends in a question mark. `vehicle`: words for this kind of vehicle.
    """
    asked = question and not _tagged(number, tokens)
    return (
        asked
        or _no_measure(number, tokens, parts)
        or _quoted(number, tokens)
        or _of_another_kind(number, tokens, vehicle)
        or _of_the_old_kind(number, tokens)
    )


def comes_back(number: NumberMention, tokens: Sequence[Token]) -> bool:
    """True for "that's with a trailer, it's three for me": after a turn to another kind of vehicle
    this number tells of one's own."""
    first, last = number.first, number.last
    after = [token.norm for token in tokens[last : last + _MINE_AFTER]]
    if after[:1] == ["for"] and _MINE & set(after):
        return True
    start = next((at for at in range(first, 0, -1) if tokens[at].breaks), 0)
    before = [token.norm for token in tokens[start:first]]
    return start > 0 and "for" in before and bool(_MINE & set(before))


def _tagged(number: NumberMention, tokens: Sequence[Token]) -> bool:
    """True when a question does not ask for its number.

    "A hundred, right?" and "I think thirty-five?" tell; "is the four on the right?" asks: a word
    alone is a tag only after punctuation.
    """
    norms = [token.norm for token in tokens]
    if "i" in norms and _GUESSES & set(norms):
        return True
    return any(
        tuple(norms[at:]) == tag and (len(tag) > 1 or bool(tokens[at].breaks))
        for tag in _TAGS
        if number.last <= (at := len(tokens) - len(tag))
    )


def _no_measure(
    number: NumberMention, tokens: Sequence[Token], parts: Sequence[PartMention]
) -> bool:
    """True for a bare number that is denied ("not four") or counts parts ("two belts")."""
    reading = number.readings[0]
    if reading.comparator:
        return False
    denied = number.first > 0 and tokens[number.first - 1].norm == "not"
    bare = reading.unit == "" and reading.low.denominator == 1
    counted = any(part.first == number.last for part in parts)
    plural = number.last < len(tokens) and tokens[number.last].norm.endswith("s")
    together = number.last >= len(tokens) or not tokens[number.last].breaks
    return denied or (bare and counted and plural and together)


def _quoted(number: NumberMention, tokens: Sequence[Token]) -> bool:
    """True for "I said four": what was told before, said again to put it right; "like I said,
    three" tells it again."""
    norms = [token.norm for token in tokens[: number.first]]
    at = len(norms) - 1
    while at >= max(0, len(norms) - _QUOTED_WITHIN) and norms[at] in _BETWEEN:
        at -= 1
    if at < 1 or norms[at] not in _SAID or norms[at - 1] != "i":
        return False
    return not (at > 1 and norms[at - 2] in _AS)


def _of_another_kind(
    number: NumberMention, tokens: Sequence[Token], vehicle: Collection[str]
) -> bool:
    """True for "four is for a combination", said of a single vehicle, and the other way about."""
    norms = [token.norm for token in tokens]
    after = norms[number.last : number.last + 2]
    if number.last and norms[number.last - 1].endswith("'s"):
        after = ["is", *after[:1]]
    is_for = after[:1] in (["is"], ["'s"], ["was"]) and set(after[1:]) & _FOR
    if not is_for and tuple(after) not in _BELONGS:
        return False
    named = set(norms[number.last + 1 : number.last + 2 + _NAMED_WITHIN])
    others = _SINGLE if _KINDS & set(vehicle) else _KINDS
    return bool(named & others)


def _of_the_old_kind(number: NumberMention, tokens: Sequence[Token]) -> bool:
    """True for "automatic, so I don't pull it; the old kind, you'd get an inch"."""
    norms = [token.norm for token in tokens[max(0, number.first - _OLD_WITHIN) : number.first]]
    pairs = zip(norms, norms[1:], strict=False)
    return any(one in _OLD and other in _SORT for one, other in pairs)
