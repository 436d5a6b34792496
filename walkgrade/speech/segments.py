"""Words in order, and the stretches of speech they form.

Decides: how words that overlap are put in order, and where a recognised segment ends.
Conventions: whole ms; a segment ends after a pause of at least `PAUSE_MS`, or after a full stop,
question or exclamation mark followed by any pause of `SENTENCE_PAUSE_MS`. Pure.
Public: `in_order`, `segments_of`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from walkgrade.speech.records import Segment, Word

PAUSE_MS = 700
SENTENCE_PAUSE_MS = 100


def in_order(words: Iterable[Word], duration: int) -> tuple[Word, ...]:
    """Words whose times never run backwards or overlap, each at least 1 ms, within `duration`.

    A start before the end of the word before moves up to that end. Words that would begin at or
    after the end of the recording are pressed against it.
    """
    kept: list[Word] = []
    reached = 0
    for word in words:
        start = max(min(word.start, duration), reached)
        end = max(min(word.end, duration), start + 1)
        kept.append(Word(text=word.text, start=start, end=end, prob=word.prob))
        reached = end
    return tuple(_press(kept, duration))


def _press(words: list[Word], duration: int) -> Iterable[Word]:
    """Move the last words back where 1 ms each has pushed them past the end."""
    limit = duration
    pressed: list[Word] = []
    for word in reversed(words):
        end = min(word.end, limit)
        start = max(0, min(word.start, end - 1))
        pressed.append(Word(text=word.text, start=start, end=end, prob=word.prob))
        limit = start
    return reversed(pressed)


def segments_of(words: Sequence[Word], *, prefix: str = "s") -> tuple[Segment, ...]:
    """Segments of ordered words, with ids `prefix` + number from 1."""
    groups: list[list[Word]] = []
    for word in words:
        if groups and not _ends(groups[-1][-1], word):
            groups[-1].append(word)
        else:
            groups.append([word])
    return tuple(
        Segment(id=f"{prefix}{number}", start=group[0].start, end=group[-1].end, words=tuple(group))
        for number, group in enumerate(groups, start=1)
    )


def _ends(word: Word, following: Word) -> bool:
    pause = following.start - word.end
    if pause >= PAUSE_MS:
        return True
    return pause >= SENTENCE_PAUSE_MS and word.text.rstrip("\"')").endswith((".", "?", "!"))
