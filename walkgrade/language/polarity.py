"""What the speaker does with a condition: asserts it, checks for it, denies it, or explains.

Decides: the polarity of a condition or fault word from the words before it in its sentence.
Conventions: works on lower-case tokens of one sentence; `breaks[i]` is the punctuation before
token i. A fault under negation or looked for is SOUND, a fault stated is DEFECT, a bare list of
faults is LISTED; suppositions, reasons, questions are IDLE.
Public: `polarity_of`, `explains`.
"""

from __future__ import annotations

from collections.abc import Sequence

from walkgrade.language.records import Polarity

_NOT = {"not", "never", "cannot", "ain't"}
_NONE = {
    "no",
    "none",
    "nothing",
    "neither",
    "nor",
    "without",
    "zero",
    "nobody",
    "nobody's",
    "nothing's",
    "any",
}
_BE = {
    "is",
    "are",
    "was",
    "were",
    "be",
    "has",
    "have",
    "had",
    "looks",
    "look",
    "got",
    "been",
    "being",
}
_NEW_CLAUSE = {
    "it's",
    "they're",
    "that's",
    "there's",
    "these're",
    "this's",
    "she's",
    "he's",
    "we're",
    "i've",
    "it'll",
    "we've",
}
_SUBJECTS = {"it", "they", "this", "that", "there", "these", "those", "one", "which", "who"}
_OF = {"of", "on", "in", "with", "around", "under", "from", "to", "at"}
_BUT = {"but", "however", "although", "though", "except"}
_CHECKS = {
    "check", "checks", "checking", "checked", "inspect", "inspecting", "inspected", "verify",
    "verifying", "ensure", "ensuring", "examine", "examining", "confirm", "confirming", "inspection",
    "checkin", "lookin", "watching", "feel", "feeling", "listen", "listening", "monitor", "watch",
}  # fmt: skip
_LOOK_FOR = {
    "look",
    "looking",
    "watch",
    "watching",
    "feel",
    "feeling",
    "listen",
    "listening",
    "hunt",
    "search",
    "looks",
}
_MAYBE = {
    "if",
    "when",
    "unless",
    "would",
    "could",
    "might",
    "may",
    "whenever",
    "once",
    "you'd",
    "it'd",
    "they'd",
    "it'll",
    "gonna",
    "will",
    "can",
}
_REASON = {
    "because",
    "cause",
    "'cause",
    "cuz",
    "coz",
    "otherwise",
    "since",
    "prevents",
    "prevent",
    "preventing",
    "avoid",
    "avoids",
    "lest",
}
_REASON_PAIRS = {
    ("so", "that"), ("so", "it"), ("so", "they"), ("so", "you"), ("so", "we"), ("so", "nobody"),
    ("so", "it's"), ("so", "they're"), ("so", "the"), ("so", "there's"), ("so", "your"), ("so", "my"), ("so", "kids"),
    ("so", "nothing"), ("so", "no"), ("so", "water"), ("so", "oil"), ("so", "other"), ("so", "our"), ("so", "students"), ("so", "everybody"), ("so", "passengers"),
    ("in", "case"), ("that", "way"), ("which", "means"), ("that", "means"), ("which", "could"),
    ("which", "would"), ("that", "could"), ("that", "would"), ("don't", "want"), ("can", "cause"), ("could", "cause"), ("will", "cause"), ("would", "cause"),
    ("keeps", "it"), ("leads", "to"), ("lead", "to"), ("result", "in"), ("is", "how"), ("that's", "how"), ("that's", "when"),
    ("never", "want"), ("wouldn't", "want"), ("don't", "wanna"), ("reason", "being"),
    ("for", "instance"), ("reason", "is"), ("means", "the"), ("means", "you"), ("means", "it's"), ("to", "keep"),
}  # fmt: skip
_CONSEQUENCE = {
    "can",
    "will",
    "would",
    "could",
    "never",
    "stay",
    "stays",
    "get",
    "gets",
    "keep",
    "keeps",
    "know",
    "knows",
    "able",
    "see",
    "sees",
    "fall",
    "falls",
    "doesn't",
}
_DOES = {
    "can",
    "could",
    "would",
    "will",
    "may",
    "might",
    "lets",
    "means",
    "makes",
    "you'd",
    "it'll",
    "you'll",
    "causes",
    "usually",
}
_POSSESSIVE = {"driver's", "passenger's", "let's", "one's", "manufacturer's", "maker's"}
_RECHECK = {"i", "i'm", "i'd", "i'll", "we", "checking", "check", "make", "making"}


def polarity_of(
    norms: Sequence[str], breaks: Sequence[str], first: int, *, fault: bool, question: bool = False
) -> Polarity:
    """Polarity of the condition whose words start at token `first`.

    Parameters
    ----------
    norms, breaks : tokens of the sentence and the punctuation before each.
    fault : True when the words name a fault ("leak"), False when a good state ("secure").
    question : True when the sentence is a question.
    """
    if question:
        return Polarity.IDLE
    if explains(norms, breaks, first):
        return Polarity.IDLE
    if fault:
        return _fault_polarity(norms, breaks, first)
    return _sound_polarity(norms, breaks, first)


def _negates(word: str) -> bool:
    return (
        word in _NOT or word.endswith("n't") or word in ("don't", "cant", "dont", "isnt", "doesnt")
    )


def _fault_polarity(norms: Sequence[str], breaks: Sequence[str], first: int) -> Polarity:
    """Walk back from the fault word to the nearest word that settles it."""
    verbs, stated = 0, False
    for at in range(first - 1, -1, -1):
        word = norms[at]
        if breaks[at + 1] == ";" and at + 1 <= first:
            break
        if word == "free" and at + 1 < len(norms) and norms[at + 1] in ("of", "from"):
            return Polarity.SOUND
        if word in _NONE and (word != "any" or not stated) and verbs <= 1:
            return Polarity.SOUND
        if _negates(word) and (verbs == 0 or _sees(norms, at)):
            return Polarity.DEFECT if norms[at + 1] in ("only", "just") else Polarity.SOUND
        if _is_check(norms, at):
            return Polarity.SOUND
        if word in _BUT:
            break
        if word == "that's" and at > 1 and norms[at - 2] in ("a", "an", "any", "one"):
            return Polarity.IDLE
        if word in ("if", "whether") and _asks_self(norms, at):
            return Polarity.SOUND
        if word in _MAYBE and not _speaker(norms, at) and not (word == "can" and _sees(norms, at)):
            return Polarity.IDLE
        if word in ("should", "must", "shouldn't") and verbs == 0:
            return Polarity.LISTED
        clause = _opens_clause(norms, at)
        if clause:
            stated = True
            start = at if word in _NEW_CLAUSE else at - 1
            start -= norms[start] == "one" and norms[start - 1] in _SUBJECTS  # "this one is"
            before = norms[start - 1] if start > 0 else ""
            if before in ("if", "whether", "that", "sure", "when", "whenever", "once", "unless"):
                continue
            return Polarity.DEFECT
        if word in _BE or (word.endswith("'s") and word not in _POSSESSIVE):
            verbs += word not in ("be", "been", "being")  # "should not be" is one verb
            stated = True
            if verbs > 1:
                break
        if word in ("see", "saw", "notice", "noticed", "found", "find", "feels"):
            stated = True
    if not stated and _general(norms, breaks, first):
        return Polarity.IDLE
    return Polarity.DEFECT if stated else Polarity.LISTED


def _general(norms: Sequence[str], breaks: Sequence[str], first: int) -> bool:
    """ "A cracked drum can fly apart": what faults do in general, said after the fault word."""
    for at in range(first + 1, min(len(norms), first + 7)):
        if breaks[at] in (",", ";"):
            return False
        if norms[at] in _DOES:
            return True
    return False


def _opens_clause(norms: Sequence[str], at: int) -> bool:
    """ "it's", "they are": a new subject, unless it is an object ("none of it's", "on it is")."""
    word = norms[at]
    if word == "that's" and at > 1 and norms[at - 2] in ("a", "an", "any", "one"):
        return False
    if word in _NEW_CLAUSE:
        return not (at > 0 and norms[at - 1] in _OF)
    if word in _BE and at > 0 and norms[at - 1] in _SUBJECTS:
        return not (at > 1 and norms[at - 2] in _OF) and not (
            norms[at - 1] == "one" and at > 1 and norms[at - 2] in _NONE
        )
    return False


def _sound_polarity(norms: Sequence[str], breaks: Sequence[str], first: int) -> Polarity:
    """A good state is asserted unless a negation or a supposition stands right before it."""
    near = True
    for at in range(first - 1, -1, -1):
        word = norms[at]
        if breaks[at + 1] or norms[at + 1] in _NEW_CLAUSE:
            near = False
        if breaks[at + 1] == ";" or word in _BUT:
            break
        if near and first - at <= 3 and _negates(word) and not _only(norms, at):
            idle = word in ("can't", "cannot", "couldn't") or "if" in norms[max(0, at - 4) : at]
            return Polarity.IDLE if idle else Polarity.DEFECT
        if _is_check(norms, at):
            return Polarity.SOUND
        if word in ("if", "whether") and _asks_self(norms, at):
            return Polarity.SOUND
        if word in ("if", "unless", "would", "might", "whenever") and not _speaker(norms, at):
            return Polarity.IDLE
    return Polarity.SOUND


def _only(norms: Sequence[str], at: int) -> bool:
    """ "not only", "not just", "not loose and secure": the negation belongs to another word."""
    nxt = norms[at + 1] if at + 1 < len(norms) else ""
    return nxt in ("only", "just") or (at + 2 < len(norms) and norms[at + 2] in ("and", "but"))


def _sees(norms: Sequence[str], at: int) -> bool:
    return at + 1 < len(norms) and norms[at + 1] in (
        "see",
        "notice",
        "find",
        "hear",
        "feel",
        "spot",
        "have",
        "one",
    )


def _is_check(norms: Sequence[str], at: int) -> bool:
    """True when token `at` opens a check: "checking", "make sure", "look for"."""
    word = norms[at]
    nxt = norms[at + 1] if at + 1 < len(norms) else ""
    if word == "sure":
        return at > 0 and norms[at - 1] in ("make", "making", "made", "be", "makes", "for")
    if word in _LOOK_FOR:
        return (
            nxt in ("for", "out", "if", "at", "to", "over")
            or "for" in norms[at : at + 6]
            or word
            in (
                "looking",
                "listening",
                "feeling",
                "watching",
            )
        )
    if word in _CHECKS:
        return not (
            at > 0 and (_negates(norms[at - 1]) or norms[at - 1] in ("the", "brake", "leak"))
        )
    return False


def _speaker(norms: Sequence[str], at: int) -> bool:
    """ "I would check", "we can see": the speaker acts, supposes nothing."""
    return at > 0 and norms[at - 1] in ("i", "we") and norms[at] not in ("if", "when", "unless")


def _asks_self(norms: Sequence[str], at: int) -> bool:
    """ "see if", "check whether": the speaker checks, supposes nothing."""
    before = norms[max(0, at - 3) : at]
    return any(
        word
        in ("see", "check", "checking", "look", "feel", "verify", "tell", "seeing", "know", "sure")
        for word in before
    )


def _outcome(norms: Sequence[str], at: int) -> bool:
    """ "so the kids don't fall": what follows from a part being sound, not a claim about it."""
    return any(
        word in _CONSEQUENCE
        or (word.endswith(("n't", "'ll")) and word not in ("isn't", "aren't", "haven't"))
        for word in norms[at + 1 : at + 10]
    )


def explains(norms: Sequence[str], breaks: Sequence[str], first: int) -> bool:
    """True when a reason word stands before and no new check or ";" came after it."""
    for at in range(first - 1, -1, -1):
        word = norms[at]
        if breaks[at + 1] == ";" and at + 1 <= first:
            return False
        pair = (word, norms[at + 1]) if at + 1 < len(norms) else ("", "")
        if word == "so" and not _outcome(norms, at):
            continue
        if word in _REASON or (
            pair in _REASON_PAIRS and at + 1 <= first and (at > 0 or word != "so")
        ):
            after = norms[at + 1 : first]
            return not any(
                token in _RECHECK
                and norms[at + 1 + i + 1 : at + 3 + i]
                and any(_is_check(norms, k) for k in range(at + 1 + i, min(first, at + 4 + i)))
                for i, token in enumerate(after)
            )
    return False
