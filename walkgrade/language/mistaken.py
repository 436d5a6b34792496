"""Words that recognisers write for a number, where only a number can stand.

Decides: which words are taken for a number beside a decimal point, after tens, at the end of "I
have ..." and before a measure. "It" for "eight" is left alone: "I measured it" is said by everybody.
Conventions: one word for one, so that tokens keep their places.
Public: `number_words`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from walkgrade.language.digits import ONES, TENS, digit_value

_AFTER_POINT = {
    "to": "two", "too": "two", "tube": "two", "it": "eight", "hit": "eight", "ate": "eight",
    "for": "four", "fore": "four", "won": "one", "mine": "nine", "sick": "six",
}  # fmt: skip
_AFTER_TENS = {"hit": "eight", "ate": "eight", "won": "one"}
_TELLS = frozenset(("have", "has", "got", "measure", "measured", "read", "reads", "says"))
_NEAR = frozenset(("at", "around", "about", "near"))
_GOES_ON = frozenset(("it", "she", "should", "psi", "pound", "pounds"))
_MEASURES = frozenset(("inch", "eighth", "quarter"))
_ENDS = frozenset(("max", "maximum", "tops"))


def number_words(norms: Sequence[str], halts: Collection[int]) -> list[str]:
    """The words with those for which a number was meant put right.

    Parameters
    ----------
    norms : lower-case token texts of an utterance.
    halts : tokens before which there is punctuation.
    """
    return [_meant(norms, at, halts) or word for at, word in enumerate(norms)]


def _meant(norms: Sequence[str], at: int, halts: Collection[int]) -> str:
    """The word meant at token `at`, "" where what stands there may stand."""
    word, before = norms[at], norms[at - 1] if at else ""
    after = norms[at + 1] if at + 1 < len(norms) else ""
    ends = not after or at + 1 in halts
    if at in halts:
        return ""
    if before == "point" and at > 1 and _is_number(norms[at - 2]):
        return _AFTER_POINT.get(word, "")
    if before in TENS and word in _AFTER_TENS:
        return _AFTER_TENS[word]
    if word == "mine" and before in _TELLS and ends:
        return "nine"
    if word == "third" and before in _NEAR and (ends or after in _GOES_ON):
        return "thirty"
    if word == before == "than" and after in _MEASURES:
        return "an"
    if word in ("and", "n") and after == "inch" and _ENDS.intersection(norms[at + 2 : at + 3]):
        return "an"
    return ""


def _is_number(word: str) -> bool:
    return word in ONES or word in TENS or digit_value(word) is not None
