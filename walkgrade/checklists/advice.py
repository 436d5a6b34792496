"""What is allowed in a checklist but will probably surprise, with why and how to mend it.

Decides: beside the notes of `lint`: names of two items that sound alike, place words that lead to
two places, lines that one and the same sentence earns, conditions that no such part is asked for
elsewhere, and what rests on no published source.
Conventions: pure. Names sound alike when the sound of every word (metaphone) is the same though
their stems are not, for items that one vehicle may have at one place. A condition is odd when the
item is surely a known part, few known parts are asked for it, and this one is not.
Public: `Advice`, `advice`, `advice_text`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from jellyfish import metaphone
from snowballstemmer import stemmer

from walkgrade.checklists.lint import Note, Oddity, lint, together
from walkgrade.checklists.records import Checklist, Item, Requirement, Standing
from walkgrade.checklists.sheet_links import KnownPart, Sure, link_part

# A condition asked of this share of the known parts, or more, may be asked of any.
_COMMON = 0.08
_SHOWN = 4

_WHY: dict[Oddity, tuple[str, str]] = {
    Oddity.SHARED_NAME: (
        "Said there, the name means both: what is said goes to the one that asks for it.",
        "Fine where one name covers both (tires: tread and pressure); else give longer names.",
    ),
    Oddity.NO_WHY: (
        "The report cannot tell the trainee why it is safe.",
        "Add one plain sentence under `why`.",
    ),
    Oddity.NAME_TWICE: ("It does nothing.", "Take one out."),
    Oddity.ITEM_OF_NO_VEHICLE: (
        "Its rules contradict each other, so it is never asked and never graded.",
        "Correct `if_fitted` of the item or of its lines.",
    ),
    Oddity.LINE_OF_NO_VEHICLE: (
        "Its rule contradicts that of its item, so it is never asked.",
        "Correct its `if_fitted`.",
    ),
    Oddity.EMPTY_PLACE: (
        "Words that lead there lead away from the items.",
        "Take the place out, or put items there.",
    ),
    Oddity.SILENT_PLACE: (
        "The grader never knows that the trainee is there and may credit the wrong side.",
        "Give `cues`: what one says on getting there.",
    ),
    Oddity.IDLE_KEY: (
        "Every vehicle file must state it, for nothing.",
        "Take the key out, unless a later version will use it.",
    ),
    Oddity.SOUNDS_ALIKE: (
        "Speech recognition may write one for the other, and the wrong item is credited.",
        "Teach and list longer names that differ in more than a sound.",
    ),
    Oddity.SHARED_CUE: (
        "On hearing it the grader cannot tell where the trainee is.",
        "Keep it at one place, or make it longer.",
    ),
    Oddity.NO_PUBLISHED_SOURCE: (
        "An examiner need not ask for it, and the report will say so.",
        "Name the manual's section, or mark it optional if it is only the yard's habit.",
    ),
    Oddity.ODD_CONDITION: (
        "People seldom say that of this part, so it will be missed by nearly everyone.",
        "Look at docs/checklist-format.md for the condition that is meant.",
    ),
    Oddity.EARNED_TOGETHER: (
        "One sentence earns both lines, so the second is never missed.",
        "Name the sub-part each belongs to under `about`, or make them one line.",
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """A note with what it leads to and how to mend it."""

    note: Note
    why: str
    mend: str


def advice(checklist: Checklist, known: Sequence[KnownPart] = ()) -> tuple[Advice, ...]:
    """Everything worth a look in a checklist that loads.

    Parameters
    ----------
    known : the shipped parts; without them no condition is called odd.
    """
    notes = (
        *lint(checklist),
        *_alike(checklist),
        *_cues(checklist),
        *(note for item in checklist.items for note in _item(item, tuple(known))),
    )
    return tuple(Advice(note=n, why=_WHY[n.kind][0], mend=_WHY[n.kind][1]) for n in notes)


def advice_text(found: Sequence[Advice]) -> str:
    """The advice by kind, each kind explained once; long rows of the same end in a count."""
    lines: list[str] = []
    for kind in Oddity:
        group = [one for one in found if one.note.kind is kind]
        if not group:
            continue
        lines += ["", f"{kind.capitalize()} ({len(group)})"]
        lines += [f"  why:  {group[0].why}", f"  mend: {group[0].mend}"]
        for where in dict.fromkeys(_heading(one.note) for one in group):
            told = [one.note.message for one in group if _heading(one.note) == where]
            more = f"; and {len(told) - _SHOWN} more" if len(told) > _SHOWN else ""
            lines.append(f"    {where}: {'; '.join(told[:_SHOWN])}{more}")
    return "\n".join(lines)


def _heading(note: Note) -> str:
    """What notes stand under: their item; keys all together, since they say the same."""
    return "profile_keys" if note.kind is Oddity.IDLE_KEY else note.where


def _alike(checklist: Checklist) -> Iterator[Note]:
    seen: dict[tuple[str, str], list[tuple[str, Item]]] = {}
    for item in checklist.items:
        for name in dict.fromkeys(item.names):
            told: set[str] = set()
            for other_name, other in seen.setdefault((item.place, _sound(name)), []):
                same = other.id == item.id or _stems(name) == _stems(other_name)
                if same or other.id in told or not together(item.if_fitted, other.if_fitted):
                    continue
                told.add(other.id)
                text = f"name {name!r} sounds like {other_name!r} of {other.id}"
                yield Note(where=item.id, message=text, kind=Oddity.SOUNDS_ALIKE)
            seen[item.place, _sound(name)].append((name, item))


@lru_cache(maxsize=20_000)
def _sound(name: str) -> str:
    return " ".join(metaphone(word) or word for word in _letters(name))


@lru_cache(maxsize=20_000)
def _stems(name: str) -> tuple[str, ...]:
    return tuple(stemmer("english").stemWords(_letters(name)))


def _letters(name: str) -> list[str]:
    plain = "".join(sign if sign.isalnum() else " " for sign in name.casefold())
    return plain.split()


def _cues(checklist: Checklist) -> Iterator[Note]:
    owners: dict[str, str] = {}
    for place in checklist.places:
        for cue in dict.fromkeys(cue.casefold() for cue in place.cues):
            if cue in owners:
                text = f"{cue!r} leads to {owners[cue]} too"
                yield Note(where=f"places.{place.id}", message=text, kind=Oddity.SHARED_CUE)
            owners.setdefault(cue, place.id)


def _item(item: Item, known: tuple[KnownPart, ...]) -> Iterator[Note]:
    needed = [one for one in item.requirements if one.required]
    for n, first in enumerate(needed):
        for second in needed[n + 1 :]:
            if shared := _shared(first, second):
                text = (
                    f"{_short(first, item)!r} and {_short(second, item)!r} are both earned by "
                    f"{', '.join(shared)}"
                )
                yield Note(where=item.id, message=text, kind=Oddity.EARNED_TOGETHER)
    bare = [one for one in needed if all(b.standing is not Standing.PUBLISHED for b in one.basis)]
    if bare:
        standings = {str(b.standing) for one in bare for b in one.basis}
        text = f"{', '.join(_short(r, item) for r in bare)}: {', '.join(sorted(standings))}"
        yield Note(where=item.id, message=text, kind=Oddity.NO_PUBLISHED_SOURCE)
    yield from _odd(item, known)


def _shared(first: Requirement, second: Requirement) -> tuple[str, ...]:
    """Conditions that earn both, when nothing tells the two apart."""
    if set(first.about) != set(second.about) or not together(first.if_fitted, second.if_fitted):
        return ()
    return tuple(concept for concept in first.concepts if concept in second.concepts)


def _odd(item: Item, known: tuple[KnownPart, ...]) -> Iterator[Note]:
    asked = _askers(known)
    few = _COMMON * len(known)
    special = {c for r in item.requirements for c in r.concepts if len(asked.get(c, ())) < few}
    if not special:
        return
    link = link_part(item.title, item.names, known)
    if link is None or link[1] is not Sure.SURE:
        return
    # A name may belong to several known parts ("tires"); any of them may be meant.
    names = {name.casefold() for name in (item.title, *item.names)}
    alike = [p for p in known if names & {name.casefold() for name in (p.title, *p.names)}]
    for concept in sorted(special):
        owners = asked.get(concept, frozenset())
        if not owners & {part.id for part in (*alike, link[0])}:
            elsewhere = ", ".join(sorted(owners)[:3]) or "no known part"
            text = f"asks for {concept!r}, which elsewhere is asked of {elsewhere}"
            yield Note(where=item.id, message=text, kind=Oddity.ODD_CONDITION)


@lru_cache(maxsize=4)
def _askers(known: tuple[KnownPart, ...]) -> dict[str, frozenset[str]]:
    """Condition -> the known parts that are asked for it."""
    found: dict[str, set[str]] = {}
    for part in known:
        for requirement in part.requirements:
            for concept in requirement.concepts or ():
                found.setdefault(concept, set()).add(part.id)
    return {concept: frozenset(parts) for concept, parts in found.items()}


def _short(requirement: Requirement, item: Item) -> str:
    return requirement.id.removeprefix(f"{item.id}.")
