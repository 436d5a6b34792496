"""What a checklist asks, as short texts for the run reader.

Decides: which items ask the same thing (the same part at several places is asked once; where it
was meant is settled by the walk), and how a question is worded.
Conventions: a question is put as ``part (names): what must be said``, and its two halves apart; its
`targets` are all it stands for, in checklist order. Texts hang on titles, names and wordings alone, so a
school's own sheet is asked in its own words.
Public: `Question`, `QuestionKind`, `EARLIER`, `questions_of`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from walkgrade.checklists.records import Checklist, Item

EARLIER = "earlier"
NAMES_GIVEN, NAMES_BRIEF = 4, 2
"""Names of the part that stand in a question beside its title: for the run reader, which reads a
question once for all talks, and for the close reader, which reads it with every utterance."""


class QuestionKind(StrEnum):
    """What a question asks of an utterance."""

    TOLD = "told"
    NAMED = "named"
    PLACE = "place"
    CARRY = "carry"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing to ask of every utterance.

    `targets` are requirement ids (TOLD), item ids (NAMED), place ids (PLACE) or `EARLIER` (CARRY:
    is something said to be as it was told before of another place?); `limit`: a number may answer it;
    `twins`: its part may be as told before of another place.
    """

    kind: QuestionKind
    title: str
    names: tuple[str, ...]
    says: str
    targets: tuple[str, ...]
    limit: bool = False
    twins: bool = False

    @property
    def brief(self) -> str:
        """What is put to the close reader: the whole question, with fewer names."""
        return f"{self._part(NAMES_BRIEF)}: {self.says.lower()}"

    @property
    def same(self) -> str:
        """Likewise: is this part said to be as it was told before?"""
        return f"{self._part(NAMES_BRIEF)}: the same as told before"

    @property
    def texts(self) -> tuple[str, str, str]:
        """What is put to the reader: the whole question, its part, and what must be said."""
        part, says = self._part(NAMES_GIVEN), self.says.lower()
        return f"{part}: {says}", part, says

    def _part(self, names: int) -> str:
        also = ", ".join(name.lstrip("=") for name in self.names[:names])
        return (f"{self.title} ({also})" if also else self.title).lower()


def questions_of(checklist: Checklist) -> tuple[Question, ...]:
    """Every question of a checklist, each once, in checklist order."""
    endings = [
        f", {p.title.lower()}" for p in sorted(checklist.places, key=lambda p: -len(p.title))
    ]
    asked: dict[tuple[QuestionKind, str, str], list[Question]] = {}
    for item in checklist.items:
        title = _bare(item, endings)
        rows = [(QuestionKind.NAMED, "named", item.id, False, bool(item.carry_over))]
        rows += [
            (QuestionKind.TOLD, r.says, r.id, r.limit is not None, False) for r in item.requirements
        ]
        for kind, says, target, limit, twins in rows:
            one = Question(
                kind=kind, title=title, names=item.names, says=says, targets=(target,),
                limit=limit, twins=twins,
            )  # fmt: skip
            asked.setdefault((kind, title, says), []).append(one)
    for place in checklist.places:
        one = Question(
            kind=QuestionKind.PLACE, title=place.title, names=place.cues, says="we are here",
            targets=(place.id,),
        )  # fmt: skip
        asked.setdefault((QuestionKind.PLACE, place.title, place.id), []).append(one)
    if any(item.carry_over for item in checklist.items):
        asked[QuestionKind.CARRY, "", ""] = [_CARRY]
    return tuple(
        Question(
            kind=same[0].kind, title=same[0].title, names=same[0].names, says=same[0].says,
            targets=tuple(target for one in same for target in one.targets), limit=same[0].limit,
            twins=any(one.twins for one in same),
        )
        for same in asked.values()
    )  # fmt: skip


_CARRY = Question(
    kind=QuestionKind.CARRY, title="the same as before", names=("likewise", "ditto"),
    says="it is as told of the other one", targets=(EARLIER,),
)  # fmt: skip


def _bare(item: Item, endings: list[str]) -> str:
    """The title without the place at its end: "Brake drum, front axle" is a brake drum."""
    for ending in endings:
        if item.title.lower().endswith(ending):
            return item.title[: -len(ending)]
    return item.title
