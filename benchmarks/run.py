"""What ``make bench`` runs: the table of agreement, then speed and memory.

Decides: the order. With a folder of recognised transcripts in WALKGRADE_HEARD the table has rows
from sound, else typed text only; how to make such a folder stands in benchmarks/RESULTS.md.
Public: `main`.
"""

from __future__ import annotations

import os
import sys

from benchmarks import speed, table


def main() -> int:
    """Both, one after the other."""
    heard = os.environ.get("WALKGRADE_HEARD")
    status = table.main(["--part", "report", *(["--heard", heard] if heard else [])])
    print()
    return status or speed.main([])


if __name__ == "__main__":
    sys.exit(main())
