"""What "it", "they", "these", "both" mean: the parts in focus.

Decides: which items a condition without a part of its own is said of.
Conventions: groups are tuples of item ids in spoken order; age counts trainee utterances.
Public: `Focus`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from walkgrade.language.records import Utterance

_MEMORY = 4  # utterances after which a part is no longer what "it" means
_FADE = (1.0, 0.95, 0.9, 0.8, 0.7, 0.6)


@dataclass(slots=True)
class Focus:
    """The parts a talk is about, kept while listening."""

    group: tuple[str, ...] = ()
    kin: tuple[str, ...] = ()  # items that share a name with the group
    wide: tuple[str, ...] = ()  # all parts of the last utterance that named any
    bare: list[str] = field(
        default_factory=list
    )  # named one after another, nothing said of them yet
    history: list[str] = field(default_factory=list)
    trail: list[tuple[str, ...]] = field(default_factory=list)  # groups of late, newest last
    age: int = 0
    since: int = 0  # utterances since the group was named, whatever was said of it
    about: frozenset[str] = frozenset()  # the sub-part last spoken of
    told: bool = False  # something has been said of `group`

    def name(self, groups: list[tuple[str, ...]], *, told: bool, continues: bool) -> None:
        """Take in the groups of one utterance; the last is what "it" means next."""
        if not groups:
            return
        fresh = [item for group in groups for item in group]
        self.bare = [] if told else [*(self.bare if continues else []), *fresh]
        self.group = groups[-1]
        self.wide = tuple(dict.fromkeys(fresh))
        self.age, self.since, self.told = 0, 0, told
        self.trail = [*self.trail, self.wide][-5:]
        self.history = [*[h for h in self.history if h not in fresh], *fresh][-10:]

    def pass_utterance(self) -> None:
        """One more trainee utterance has gone by without naming a part."""
        self.age += 1
        self.since += 1

    def meant(self, utterance: Utterance) -> tuple[tuple[str, ...], float]:
        """The items a part-less condition in `utterance` is said of, and how surely."""
        if not self.group or self.age > _MEMORY:
            return (), 0.0
        fade = _FADE[min(self.age, len(_FADE) - 1)]
        plural, singular = utterance.has("plural"), utterance.has("singular")
        if len(self.bare) > 1 and plural:
            return tuple(dict.fromkeys(self.bare)), fade
        if plural and self.age == 0 and len(self.wide) > len(self.group):
            return self.wide, fade * 0.9
        if singular and not plural and len(self.group) > 1:
            return self.group, fade * 0.85
        return self.group, fade

    def spoken_of(self) -> None:
        """Something has been said of the parts in focus."""
        self.told = True
        self.bare = []
        self.age = max(0, self.age - 1)
