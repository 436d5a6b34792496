"""Words that say where the trainee is, or which of several places is meant.

Decides: which tokens are place cues and which places they fit.
Conventions: strength 0..1; a checklist's own cue is strong, a direction word ("rear") weaker.
Public: `PlaceIndex`.
"""

from __future__ import annotations

from walkgrade.checklists.records import Checklist
from walkgrade.language.patterns import PatternBook, WordIndex, compile_pattern
from walkgrade.language.records import PlaceMention

_DIRECTIONS = {
    "front": ("front", "steer+axle", "steer+tire", "steer+tires", "steering+axle", "front+end"),
    "rear": ("rear", "drive+axle", "back+axle", "drive+tire", "drive+tires", "in+the+back", "at+the+back", "back+here", "back+of+the+bus", "duals"),
    "left": ("left+side", "driver+side", "driver's+side", "drivers+side", "left+hand+side", "street+side"),
    "right": ("right+side", "passenger+side", "passenger's+side", "curb+side", "curbside", "right+hand+side", "door+side", "entrance+side"),
}  # fmt: skip


class PlaceIndex:
    """The place cues of a checklist and the direction words that fit its places."""

    def __init__(self, checklist: Checklist) -> None:
        self._direct = {
            word: tuple(p.id for p in checklist.places if word in p.id.split("-"))
            for word in _DIRECTIONS
        }
        patterns = [
            compile_pattern(cue.replace(" ", "+"), f"cue:{place.id}")
            for place in checklist.places
            for cue in place.cues
        ]
        patterns += [
            compile_pattern(text, f"way:{word}")
            for word, texts in _DIRECTIONS.items()
            if self._direct[word]
            for text in texts
        ]
        self._book = PatternBook(patterns)

    def find(self, words: WordIndex) -> tuple[PlaceMention, ...]:
        """All place cues, in token order; cues of the same words are merged."""
        found: dict[tuple[int, int], PlaceMention] = {}
        for match in self._book.find(words):
            if match.score < 0.9:
                continue
            kind, _, label = match.label.partition(":")
            places = (label,) if kind == "cue" else self._direct[label]
            strength = 1.0 if kind == "cue" else 0.7
            key = (match.first, match.last)
            old = found.get(key)
            if old is not None:
                places = tuple(dict.fromkeys((*old.places, *places)))
                strength = min(strength, old.strength)
            found[key] = PlaceMention(
                first=match.first, last=match.last, places=places, strength=strength
            )
        return tuple(found[key] for key in sorted(found))
