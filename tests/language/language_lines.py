"""Talks, tokens and small checklists with every argument defaulted, so a test names what matters.

Conventions: a word takes 250 ms and the next begins 50 ms later; a line is one segment.
"""

from __future__ import annotations

from collections.abc import Sequence

from walkgrade.checklists.records import Checklist, Item, Kind, Place, Requirement, Section
from walkgrade.language.records import Token
from walkgrade.language.tokens import cut
from walkgrade.speech.records import Segment, Transcript, Word

STEP, LENGTH = 300, 250


def talk(
    *lines: str | tuple[str, str],
    origin: str = "typed",
    pauses: Sequence[int] = (),
    timed: bool = True,
) -> Transcript:
    """A transcript of lines, each a text or (speaker, text); `pauses[i]` ms stand before line i."""
    at, segments = 0, []
    for number, line in enumerate(lines):
        speaker, text = line if isinstance(line, tuple) else ("", line)
        at += pauses[number] if number < len(pauses) else 0
        words = []
        for word in text.split():
            words.append(Word(text=word, start=at, end=at + LENGTH, prob=1.0))
            at += STEP
        segments.append(
            Segment(
                id=f"s{number + 1}",
                start=words[0].start,
                end=words[-1].end,
                words=tuple(words),
                speaker=speaker,
            )
        )
    return Transcript(id="talk", segments=tuple(segments), duration=at, origin=origin, timed=timed)


def tokens_of(text: str) -> tuple[Token, ...]:
    """The tokens of one line that holds one sentence."""
    (piece,) = cut(talk(text))
    return piece.tokens


def norms_of(text: str) -> list[str]:
    """The lower-case words of one sentence, as the components see them."""
    return [token.norm for token in tokens_of(text)]


def requirement(id: str, **values: object) -> Requirement:
    given = {"row": "T", "kind": Kind.CONDITION, "says": id, "required": True, **values}
    return Requirement(id=id, **given)  # type: ignore[arg-type]


def item(
    id: str, *names: str, place: str = "yard", requirements: Sequence[Requirement] = ()
) -> Item:
    return Item(
        id=id,
        title=names[0] if names else id,
        row="T",
        section="walk",
        place=place,
        names=names,
        requirements=tuple(requirements) or (requirement(f"{id}.secure", concepts=("secure",)),),
    )


def checklist(*items: Item, places: Sequence[Place] = ()) -> Checklist:
    """A checklist of one section over the places named by its items."""
    named = {place.id: place for place in places}
    for one in items:
        named.setdefault(one.place, Place(id=one.place, title=one.place))
    return Checklist(
        id="small",
        version="1",
        title="Small",
        vehicle="bus",
        edition="test",
        budget_s=60,
        cautions=(),
        places=tuple(named.values()),
        sections=(Section(id="walk", title="Walk", budget_s=60),),
        items=items,
    )
