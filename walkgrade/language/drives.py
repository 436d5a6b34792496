"""What the speaker says turns a part: a belt, or gears or a shaft.

Decides: where an utterance states how a part is driven, which way, and whether that is a statement
at all: suppositions, hearsay, choices ("belt or gear") and what is taken back at once state nothing.
Conventions: positions are token indices, half-open. A drive is what the speaker holds true: "not
belt driven" states gears.
Public: `Claim`, `drive_claims`, `with_drives`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from walkgrade.language.records import ConditionMention, Drive, Polarity


@dataclass(frozen=True, slots=True)
class Claim:
    """A drive stated at tokens [first, last); `drive` is None where nothing is stated."""

    first: int
    last: int
    drive: Drive | None


_DETAIL = (
    "a|an|the|its|it's|his|her|their|own|this|that|same|one|another|long|little|short|single|second|"
    "serpentine|poly|v|vee|flat|fan|drive|rubber|engine|engine's|type|style|kind|sort|of|separate|"
    "timing|front|cam|crank|block's"
)
_TURNED = (
    "driven|drove|drives|drive|runs|run|running|ran|rides|ride|riding|turned|turns|turn|spun|spins|goes|"
    "powered|operated|operates|works"
)
_TURNS = "drives|drive|turns|turn|runs|run|spins|spin|powers|power"
_NO_PART = "what|whatever|there|here|nothing|where|everything|who|let"
_OBJECT = "it|the|this|that|these|those|him|her|both|them|your|my|our|all|an?|everything"
_ALSO = r"(?: (?:too|also|as well|both|right|straight|directly|just|all))*"
_OFF = "(?:off of|off|by|on|with|from|via|through)"
_IS = rf"(?:is|are|they're|(?!(?:{_NO_PART})'s)\S+'s)"
_HAS = r"(?<!i )(?<!you )(?<!we )(?:has|have|got) (?:a|its own|his own|her own|the same)"
_LACKS = (
    r"(?:no|without|without a|without any|(?:\S+n't|not) (?:have|need|use|got)(?: a| any| no)?)"
)
_BARE = r"(?= ,| ;|$| (?:on|to|there|here|at|in|for|and|needed|too|either|drive|"
_BARE += r"driving|it|it's|gear|gears)(?!\S))"


def _stated(noun: str, *, driven: str) -> str:
    """A pattern of all ways to say that `noun` turns a part."""
    thing = rf"(?:(?:{_DETAIL}) )*(?:{noun})"
    ways = (
        rf"(?:{driven}) (?:driven|drive|drove|powered|operated)",
        rf"(?:{_TURNED}){_ALSO} {_OFF} {thing}",
        rf"{_IS}{_ALSO} (?:off of|off|by|on) {thing}",
        rf"(?:{noun})(?: (?:that|here|there|also))* (?:{_TURNS})(?= (?:{_OBJECT})(?!\S))",
    )
    return "|".join(ways)


_WAYS: tuple[tuple[Drive, re.Pattern[str]], ...] = tuple(
    (drive, re.compile(rf"(?<!\S)(?:{ways})(?!\S)"))
    for drive, ways in (
        (Drive.GEAR, rf"{_LACKS} (?:\S+ )?belts?{_BARE}"),
        (Drive.GEAR, rf"(?:\S+n't|not){_ALSO} (?:off of|off|by|on) (?:(?:{_DETAIL}) )*belts?"),
        (Drive.BELT, _stated("belts?", driven="belt")),
        (Drive.BELT, rf"{_HAS} (?:\S+ )?belts?{_BARE}|{_IS}{_ALSO} belt{_BARE}"),
        (Drive.GEAR, _stated("gears?|shaft", driven="gear|gears|shaft")),
        (Drive.GEAR, rf"gear (?:run|turned)|{_IS}{_ALSO} (?:gears|geared)"),
    )
)
_IDLE = re.compile(
    r"(?<!\S)(?:if|whether|when|whenever|unless|suppose|supposing|either|or|some|most|others|usually|"
    r"often|used|was|were|could|might|may|can|it'd|they'd|you'd|thought|thinks|says|told|book|manual|"
    r"(?<!i )(?:would|say|said)|(?:not|n't|never) sure|wonder|forget|instead)(?!\S)"
)
_SHARED = re.compile(r"(?<!\S)(?:first|last|former|latter) (?:(?:one|two|three|ones) )?$")
_ELSEWHERE = re.compile(
    r"^(?: \S+){0,3} (?:older|other|others|some|most|models|engines)(?!\S)|"
    r"^(?: \S+){0,3} (?:the|my|your|an?)$"
)
_CHOICE = re.compile(r"^(?: ,)? or(?!\S)")
_BACK = re.compile(
    r"^(?: ,)?(?: (?:no|oh|wait))*(?: ,)? (?:scratch|sorry|correction|hold on|i mean|make that|wait|"
    r"or rather|no(?= ,| ;|$| (?:it|it's|that|that's|i|they|they're|gear|gears)(?!\S)))(?!\S)"
)
_NEW = re.compile(
    r"(?<!\S)(?:and|but|so|then|because|since|(?<!think )(?<!believe )(?:it|that|they|he|she)$|"
    r"(?<!think )(?<!believe )(?:it's|that's|they're|he's|"
    r"she's|there's)|(?<!think )(?<!believe )(?:it|that|they|this|these) (?:is|are|runs|run|has))"
    r"(?!\S)"
)
_DENIES = re.compile(r"(?<!\S)(?:not|never|\S+n't|cannot|dont|isnt|neither|none|nor|nothing)(?!\S)")
_CONTRAST = re.compile(r"(?<!\S)(?:rather than|instead of|unlike|(?:no|without)(?: an?y?)?)$")


def drive_claims(norms: Sequence[str], breaks: Sequence[str]) -> tuple[Claim, ...]:
    """All places where an utterance speaks of how a part is driven, in token order.

    Parameters
    ----------
    norms, breaks : lower-case tokens of the utterance, and the punctuation before each.
    """
    text, at = _joined(norms, breaks)
    taken: list[tuple[int, int, Drive]] = []
    for drive, ways in _WAYS:
        for found in ways.finditer(text):
            if not any(found.start() < last and first < found.end() for first, last, _ in taken):
                taken.append((found.start(), found.end(), drive))
    claims = []
    for start, end, drive in sorted(taken):
        first, last = at[start], at[text.rfind(" ", 0, end) + 1] + 1
        if not _SHARED.search(text[:start]):
            claims.append(Claim(first, last, _meant(text, start, end, drive)))
    return tuple(claims)


def _joined(norms: Sequence[str], breaks: Sequence[str]) -> tuple[str, dict[int, int]]:
    """The words in one line, breaks as words of their own; where each token starts."""
    text, at = "", {}
    for index, (word, sign) in enumerate(zip(norms, breaks, strict=True)):
        if sign and index:
            text += "; " if sign == ";" else ", "
        at[len(text)] = index
        text += word + " "
    return text.rstrip(), at


def _meant(text: str, start: int, end: int, drive: Drive) -> Drive | None:
    """The drive the speaker holds true, None when the words state none."""
    clause, after = re.split(r"[,;] |(?<!\S)but ", text[:start])[-1].rstrip(), text[end:]
    if _CONTRAST.search(clause):
        return Drive.GEAR if drive is Drive.BELT else drive
    if _IDLE.search(clause) or _CHOICE.match(after) or _ELSEWHERE.match(after):
        return None
    if _BACK.match(after):
        return None
    near = _NEW.split(clause)[-1]
    if drive is Drive.GEAR and "belt" in text[start:end]:
        return drive  # "ain't no belt" denies it once
    if _DENIES.search(near):
        return Drive.GEAR if drive is Drive.BELT else Drive.BELT
    return drive


def with_drives(
    found: Sequence[ConditionMention], claims: Sequence[Claim], *, idle: bool, hedged: bool
) -> list[ConditionMention]:
    """The conditions of an utterance with what is said of drives: a belt denies `not_belt`.

    Words of the lexicon that state gears keep their own stretch; where a belt is stated, or
    nothing, they give way, as does what else the words seem to tell ("air ... runs off": a leak).
    `idle`: the utterance states nothing of this vehicle.
    """
    kept = list(found)
    for claim in claims:
        drive = None if idle else claim.drive
        over = [m for m in kept if _overlap(m, claim)]
        kept = [m for m in kept if m not in over]
        sound = (m for m in over if m.concept == "not_belt" and m.polarity == Polarity.SOUND)
        same = [replace(m, drive=drive) for m in sound]
        if drive is Drive.GEAR and same:
            kept += same
        else:
            kept.append(_mention(claim, drive, hedged))
    return kept


def _overlap(mention: ConditionMention, claim: Claim) -> bool:
    return mention.first < claim.last and claim.first < mention.last


def _mention(claim: Claim, drive: Drive | None, hedged: bool) -> ConditionMention:
    polarity = {Drive.BELT: Polarity.DEFECT, Drive.GEAR: Polarity.SOUND, None: Polarity.IDLE}[drive]
    return ConditionMention(
        first=claim.first, last=claim.last, concept="not_belt", polarity=polarity, score=1.0,
        hedged=hedged, drive=drive,
    )  # fmt: skip
