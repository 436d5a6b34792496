"""A transcript line cut into plain and marked pieces.

Decides: which letters of a line are evidence: those of a quote that stands in the line, compared
without case. Overlapping quotes are joined. Cutting happens on the raw text; the page escapes
each piece.
Conventions: pieces are ``(text, marked)`` and join to the line again.
Public: Piece, cut.
"""

from __future__ import annotations

from collections.abc import Iterable

Piece = tuple[str, bool]


def cut(text: str, quotes: Iterable[str]) -> tuple[Piece, ...]:
    """`text` in pieces, marked where one of `quotes` stands.

    >>> cut("Oil is full, no leaks.", ["no leaks", "oil"])
    (('Oil', True), (' is full, ', False), ('no leaks', True), ('.', False))
    """
    low = text.lower()
    # Lower case may change the number of letters (İ); then positions would not fit.
    if len(low) != len(text):
        low = text
    flags = [False] * len(text)
    for quote in quotes:
        wanted = quote.strip().lower()
        at = low.find(wanted) if wanted else -1
        if at >= 0:
            flags[at : at + len(wanted)] = [True] * len(wanted)
    return tuple(_pieces(text, flags))


def _pieces(text: str, flags: list[bool]) -> Iterable[Piece]:
    start = 0
    for at in range(1, len(text) + 1):
        if at == len(text) or flags[at] != flags[start]:
            yield text[start:at], flags[start]
            start = at
