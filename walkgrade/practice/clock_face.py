"""The line a person sees while recording.

Decides: its words. Time taken, time left of the budget, level, and one piece of advice at most.
Conventions: pure; clock times as `walkgrade.reports.wording.clock` writes them.
Public: `face`, `advice`.
"""

from __future__ import annotations

from walkgrade.practice.recorder import Moment
from walkgrade.reports.wording import clock

CELLS = 10
FLOOR_DB = -60.0
BEHIND_S = 1.0


def face(moment: Moment, budget_ms: int, width: int = 80) -> str:
    """The line, at most `width` signs long.

    Parameters
    ----------
    moment : where the recording stands.
    budget_ms : time allowed for the run.
    width : of the terminal.
    """
    left = budget_ms - moment.elapsed_ms
    # Rounded up, so that the two clocks always add up to the budget as shown.
    rest = f"{clock(left + 999)} left" if left > 0 else f"{clock(-left)} over time"
    parts = [f"rec {clock(moment.elapsed_ms)}", rest, _bar(moment.level.db)]
    if tip := advice(moment):
        parts.append(tip)
    return " | ".join(parts)[:width]


def advice(moment: Moment) -> str:
    """What should be mended now; empty when all is well."""
    level = moment.level
    if level.silent:
        return "NO SOUND: muted, or the wrong microphone?"
    if level.clipping:
        return "TOO LOUD: hold it further away"
    if moment.behind_s > BEHIND_S:
        return f"SLOW DISK: {moment.behind_s:.0f} s not written yet"
    if level.quiet:
        return "very quiet: hold it closer"
    return ""


def _bar(db: float) -> str:
    full = round(CELLS * min(1.0, max(0.0, 1 - db / FLOOR_DB)))
    return f"level [{'#' * full}{'.' * (CELLS - full)}] {max(db, -99):3.0f} dB"
