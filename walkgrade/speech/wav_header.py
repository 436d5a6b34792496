"""What a WAV file announces about itself.

Decides: whether a WAV file was cut off. The decoder cannot tell: it takes the shorter of header
and file for the truth.
Conventions: RIFF form as in "Multimedia Programming Interface and Data Specifications 1.0" (IBM
and Microsoft, 1991), chapter 3: chunks of a four-letter name, a 32-bit little-endian size and
data padded to an even length. Recorders that crash leave the size 0 or all ones: unknown.
Public: `announced_ms`.
"""

from __future__ import annotations

import struct
from pathlib import Path

_UNKNOWN = (0, 0xFFFFFFFF)
_MOST_CHUNKS = 100


def announced_ms(place: Path) -> int | None:
    """Length in ms by the header; None when it is no WAV file or does not know its length."""
    with open(place, "rb") as file:
        opening = file.read(12)
        if len(opening) < 12 or opening[:4] != b"RIFF" or opening[8:] != b"WAVE":
            return None
        per_second = 0
        for _ in range(_MOST_CHUNKS):
            head = file.read(8)
            if len(head) < 8:
                return None
            name, size = head[:4], struct.unpack("<I", head[4:])[0]
            if name == b"data":
                known = per_second and size not in _UNKNOWN
                return round(size * 1000 / per_second) if known else None
            if name == b"fmt " and size >= 16:
                fields = file.read(size + size % 2)
                per_second = struct.unpack("<I", fields[8:12])[0] if len(fields) >= 12 else 0
            else:
                file.seek(size + size % 2, 1)
    return None
