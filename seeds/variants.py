"""Made-up lines with their truth, by the thousand: for fitting only, never for measuring.

    python -m seeds.variants --runs 5 --seed 1        prints some to look at

Decides: how part names of the checklists and clauses of `seeds/phrasings` (part tune) are put
together to breaths a trainee might speak: part then conditions, conditions then part, lists, a part
whose conditions come a breath later, parts only pointed at, faults, suppositions, other vehicles,
another voice, talk.
Conventions: a made run names the items of one checklist in walking order; labels are what
LABELLING.md would give. The same seed gives the same runs.
Public: `MadeLine`, `Maker`.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import yaml
from num2words import num2words

from walkgrade.checklists.records import Checklist, Item, Kind, Limit, Requirement

PHRASINGS = Path(__file__).resolve().parent / "phrasings"

_LEADS = (
    "", "", "", "", "okay, ", "all right, ", "next is ", "then we got ", "here's ", "this is ",
    "now ", "moving on to ", "I'm checking ", "we look at ", "um, ", "so ", "and ", "over here, ",
    "right here is ", "I'd check ", "going to ", "that'd be ", "you got your ", "let's see, ",
    "and then ", "coming to ", "looking at ", "I'm pointing at ", "up next, ", "we have ",
)  # fmt: skip
_OWN = ("the ", "my ", "your ", "our ", "", "", "this ", "these ", "them ")
_JOIN = (", ", ", ", " and ", ", and ", ". ", "; ", " ")
_PRESENTS = ("that's on the {}", "talking about the {}", "that's the {}", "and that's my {}",
             "on the {}", "for the {}", "that goes for the {}", "I mean the {}")  # fmt: skip
_CHAT = (
    "hold on, let me move over", "watch your step here", "it's cold out this morning",
    "my trainer always says take your time", "where was I", "let me think", "give me a second",
    "boy that sun is bright", "I always forget this part", "okay, keep going", "my phone's in my pocket",
    "I practiced this last night", "there's a truck pulling in", "so many things to remember",
)  # fmt: skip
_ELSEWHERE = (
    "on my old truck the {} {}", "the bus next door, its {} {}", "on that other bus the {} {}",
    "back at my last company the {} {}", "on the spare bus the {} {}", "my pickup's {} {}",
)  # fmt: skip
_LIST_OF = re.compile(r"^(it's|it is|it|she's|he's|this one's|this)\b")

COMPARED = {
    "at least": ("at least {}", "a minimum of {}", "no less than {}", "{} or more", "{} minimum", "not under {}"),
    "at most": ("no more than {}", "at most {}", "{} at the most", "not over {}", "{} or less", "{} maximum"),
    "above": ("more than {}", "above {}", "over {}"),
    "below": ("less than {}", "under {}", "below {}"),
    "between": ("{}", "between {}", "anywhere from {}"),
    "about": ("about {}", "around {}", "{}", "roughly {}"),
    "exactly": ("{}", "exactly {}"),
}  # fmt: skip
_UNITS = {
    "in": ("inch", "inches", "of an inch"), "psi": ("psi", "pounds", "p s i", ""), "s": ("seconds", "second"),
    "min": ("minutes", "minute"), "mph": ("miles an hour", "mph"), "V": ("volts",), "degree": ("degrees",),
    "count": ("",), "percent": ("percent",), "ft": ("feet",), "fraction": ("",), "F": ("degrees",),
    "lb": ("pounds",), "rpm": ("rpm",), "unit": ("",),
}  # fmt: skip
_PARTS_OF_INCH = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second"}


@dataclass(slots=True)
class MadeLine:
    """One breath: words, who speaks, and requirement ids earned, told wrongly, items named."""

    text: str
    who: str = "trainee"
    earns: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    named: list[str] = field(default_factory=list)
    place: str = ""


def clauses_by_kind() -> dict[str, dict[str, list[str]]]:
    """Concept or step -> kind -> clauses."""
    found: dict[str, dict[str, list[str]]] = {}
    for path in sorted(PHRASINGS.glob("*.yaml")):
        body = yaml.safe_load(path.read_text("utf-8"))["phrasings"]
        for concept, kinds in body.items():
            for kind, clauses in kinds.items():
                plain = [c if isinstance(c, str) else c["say"] for c in clauses]
                found.setdefault(concept, {}).setdefault(kind, []).extend(plain)
    return found


class Maker:
    """Makes runs for one checklist fitted to a vehicle.

    `clauses` come from `clauses_by_kind`; those that name some part by themselves should have been
    left out by the caller (`free_of_parts`).
    """

    def __init__(self, checklist: Checklist, clauses: dict[str, dict[str, list[str]]]) -> None:
        self.checklist, self.clauses = checklist, clauses
        self.by_section: dict[str, list[Item]] = {}
        for item in checklist.items:
            self.by_section.setdefault(item.section, []).append(item)

    def run(self, rng: random.Random, sections: int = 3) -> list[MadeLine]:
        """Lines of some sections of the walk."""
        names = [s.id for s in self.checklist.sections]
        start = rng.randrange(len(names))
        lines: list[MadeLine] = []
        for name in (names + names)[start : start + sections]:
            items = [i for i in self.by_section[name] if rng.random() < 0.8]
            if rng.random() < 0.2:
                rng.shuffle(items)
            place = ""
            while items:
                if items[0].place != place and rng.random() < 0.7:
                    place = items[0].place
                    cues = next(p for p in self.checklist.places if p.id == place).cues
                    if cues:
                        lines.append(MadeLine(rng.choice(_LEADS) + rng.choice(cues) + "."))
                        lines[-1].place = place
                many = 1 if rng.random() < 0.8 else rng.choice((2, 2, 3))
                group, items = items[:many], items[many:]
                lines += self._talk_of(group, rng)
                if rng.random() < 0.12:
                    lines.append(self._noise(rng))
        return lines

    def _talk_of(self, group: Sequence[Item], rng: random.Random) -> list[MadeLine]:
        if len(group) > 1:
            return [self._listed(group, rng)]
        item = group[0]
        name = self._name(item, rng)
        told, ids = self._told(item, rng)
        shape = rng.random()
        lead = rng.choice(_LEADS)
        if not told or shape < 0.07:
            extra = self._idle(item, rng) if rng.random() < 0.6 else ""
            return [self._line(f"{lead}{name}{extra}.", item, [], rng)]
        said = self._joined(told, rng)
        if shape < 0.45:
            return [self._line(f"{lead}{name}{rng.choice(_JOIN)}{said}.", item, ids, rng)]
        if shape < 0.65:
            first = self._line(f"{lead}{name}.", item, [], rng)
            between = [self._noise(rng)] if rng.random() < 0.15 else []
            return [first, *between, MadeLine(f"{said}.", earns=ids, place=item.place)]
        if shape < 0.85:
            tail = rng.choice(_PRESENTS).format(name.split(" ", 1)[-1])
            return [self._line(f"{said}{rng.choice((', ', '. ', ' '))}{tail}.", item, ids, rng)]
        if shape < 0.92:
            bad, wrong = self._fault(item, rng)
            if bad:
                made = self._line(f"{lead}{name}, {bad}.", item, [], rng)
                made.wrong = wrong
                return [made]
        half = len(told) // 2 or 1
        return [
            self._line(f"{lead}{name}{rng.choice(_JOIN)}{self._joined(told[:half], rng)}.", item,
                       ids[:half], rng),
            *([MadeLine(f"{self._joined(told[half:], rng)}.", earns=ids[half:], place=item.place)]
              if told[half:] else []),
        ]  # fmt: skip

    def _listed(self, group: Sequence[Item], rng: random.Random) -> MadeLine:
        """Several parts, one set of conditions that each of them asks for."""
        names = [self._name(i, rng) for i in group]
        shared = set.intersection(*(
            {c for r in i.requirements for c in r.concepts if not r.about} for i in group
        ))  # fmt: skip
        concepts = sorted(shared & set(self.clauses))
        rng.shuffle(concepts)
        said, ids = [], []
        for concept in concepts[: rng.choice((1, 1, 2, 2, 3))]:
            said.append(rng.choice(self.clauses[concept]["sound"]))
            ids += [
                r.id for i in group for r in i.requirements if concept in r.concepts and not r.about
            ]
        text = ", ".join(names[:-1]) + rng.choice((" and ", ", ", ", and ")) + names[-1]
        made = MadeLine(f"{rng.choice(_LEADS)}{text}{rng.choice(_JOIN)}{self._joined(said, rng)}." if said else f"{text}.",
                        earns=list(dict.fromkeys(ids)), named=[i.id for i in group])  # fmt: skip
        if len({i.place for i in group}) == 1:
            made.place = group[0].place
        return made

    def _line(self, text: str, item: Item, ids: list[str], rng: random.Random) -> MadeLine:
        return MadeLine(text, earns=list(ids), named=[item.id], place=item.place)

    def _name(self, item: Item, rng: random.Random) -> str:
        return rng.choice(_OWN) + rng.choice(item.names).lstrip("=").replace("=", "")

    def _joined(self, clauses: Sequence[str], rng: random.Random) -> str:
        text = ""
        for at, clause in enumerate(clauses):
            text += (rng.choice(_JOIN) if at else "") + clause.rstrip(".")
        return text

    def _told(self, item: Item, rng: random.Random) -> tuple[list[str], list[str]]:
        """Clauses and the requirements they earn, in a random order."""
        pairs = []
        for one in item.requirements:
            if rng.random() < (0.8 if one.required else 0.35):
                clause = self._clause(one, rng)
                if clause:
                    pairs.append((clause, one.id))
        rng.shuffle(pairs)
        return [c for c, _ in pairs], [r for _, r in pairs]

    def _clause(self, one: Requirement, rng: random.Random) -> str:
        if one.id in self.clauses:
            return rng.choice(self.clauses[one.id]["sound"])
        if one.kind == Kind.LIMIT and one.limit is not None:
            return spoken_limit(one.limit, rng)
        known = [c for c in one.concepts if c in self.clauses and self.clauses[c].get("sound")]
        if not known:
            return ""
        clause = rng.choice(self.clauses[rng.choice(known)]["sound"])
        if one.limit is not None and rng.random() < 0.4:
            clause = spoken_limit(one.limit, rng)
        if one.about:
            clause = f"{rng.choice(('the ', '', 'my '))}{rng.choice(one.about)} {clause}"
        return clause

    def _fault(self, item: Item, rng: random.Random) -> tuple[str, list[str]]:
        for one in rng.sample(list(item.requirements), len(item.requirements)):
            known = [c for c in one.concepts if self.clauses.get(c, {}).get("fault")]
            if known and not one.about:
                return rng.choice(self.clauses[known[0]]["fault"]), [one.id]
        return "", []

    def _idle(self, item: Item, rng: random.Random) -> str:
        known = [
            c
            for r in item.requirements
            for c in r.concepts
            if self.clauses.get(c, {}).get("neither")
        ]
        if known and rng.random() < 0.7:
            return ", " + rng.choice(self.clauses[rng.choice(known)]["neither"])
        return f", {item.why.lower().rstrip('.')}" if item.why else ""

    def _noise(self, rng: random.Random) -> MadeLine:
        kind = rng.random()
        item = rng.choice(self.checklist.items)
        told, _ = self._told(item, rng)
        if kind < 0.4 or not told:
            return MadeLine(rng.choice(_CHAT) + ".")
        if kind < 0.65:
            name = rng.choice(item.names).lstrip("=")
            said = _LIST_OF.sub(r"\1", told[0])
            return MadeLine(rng.choice(_ELSEWHERE).format(name, said) + ".")
        return MadeLine(f"{self._name(item, rng)}, {told[0]}.", who="examiner")


def spoken_limit(limit: Limit, rng: random.Random) -> str:
    """A number of the limit's range (one time in five another) with unit and comparator, spoken."""
    low, high = limit.low, limit.high
    value = rng.choice(
        [v for v in (low, high, limit.accept_low, limit.accept_high) if v is not None]
    )
    if rng.random() < 0.2:
        value = value * rng.choice((2, 3)) / rng.choice((1, 4))
    words = _spoken(value, limit.unit, rng)
    if limit.comparator == "between" and low is not None and high is not None and low != high:
        words = f"{_spoken(low, 'count', rng)} to {_spoken(high, limit.unit, rng)}"
    return rng.choice(COMPARED[limit.comparator]).format(words).strip()


def _spoken(value: object, unit: str, rng: random.Random) -> str:
    top, bottom = value.numerator, value.denominator  # type: ignore[attr-defined]
    name = rng.choice(_UNITS[unit])
    if bottom == 1:
        number = num2words(top) if rng.random() < 0.6 else str(top)
        return f"{number} {name.replace('of an inch', 'inches')}".replace(" and ", " ").strip()
    if bottom in _PARTS_OF_INCH and rng.random() < 0.6:
        part = _PARTS_OF_INCH[bottom] + ("s" if top > 1 else "")
        return f"{num2words(top) if top > 1 else 'a'} {part} {name}".strip()
    return (
        f"{top}/{bottom} {name}".strip()
        if bottom < 64
        else f"{float(top / bottom):g} {name}".strip()
    )


def free_of_parts(
    clauses: dict[str, dict[str, list[str]]], names: Sequence[str]
) -> dict[str, dict[str, list[str]]]:
    """The clauses in which none of `names` (lower case) stands; a kind left empty is dropped."""
    long = sorted({n.lstrip("=").lower() for n in names if len(n) > 3}, key=len, reverse=True)
    any_name = re.compile(r"\b(" + "|".join(map(re.escape, long)) + r")s?\b")
    kept: dict[str, dict[str, list[str]]] = {}
    for concept, kinds in clauses.items():
        for kind, rows in kinds.items():
            free = rows if "." in concept else [c for c in rows if not any_name.search(c.lower())]
            if free:
                kept.setdefault(concept, {})[kind] = free
    return {c: k for c, k in kept.items() if k.get("sound")}


def runs(checklist: Checklist, count: int, seed: int) -> Iterator[list[MadeLine]]:
    """`count` made runs of a fitted checklist."""
    names = [name for item in checklist.items for name in item.names]
    maker = Maker(checklist, free_of_parts(clauses_by_kind(), names))
    rng = random.Random(seed)
    for _ in range(count):
        yield maker.run(rng)


def main(words: Sequence[str]) -> int:
    """Print some runs."""
    from walkgrade.checklists.applicable import applicable
    from walkgrade.checklists.library import find_checklist, find_profile

    parser = argparse.ArgumentParser(prog="python -m seeds.variants", description=__doc__)
    parser.add_argument("--checklist", default="school-bus-air-classic")
    parser.add_argument("--profile", default="yard-bus-air")
    parser.add_argument("--runs", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args(words)
    checklist = applicable(find_checklist(args.checklist), find_profile(args.profile))
    for lines in runs(checklist, args.runs, args.seed):
        for line in lines:
            print(f"{line.who[:2]} {line.text}\n     {line.named} + {line.earns} - {line.wrong}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
