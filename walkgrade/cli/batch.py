"""Several runs, one after the other: what is shown and written of each, and what remains.

Decides: that a run that fails, or a result that cannot be written, never stops the others.
Public: `Batch`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.cli import exits
from walkgrade.cli.results import Delivery

if TYPE_CHECKING:
    from walkgrade.workflow import Graded


@dataclass(slots=True, kw_only=True)
class Batch:
    """Takes the outcomes in turn.

    Parameters
    ----------
    delivery : which files are written, and where.
    names : a distinct name for the results of each run.
    show : ``summary`` (of the one run), ``files`` (that were written) or ``json`` (documents).
    every_item : the summary names every item that is not complete.
    """

    delivery: Delivery
    names: Mapping[Path, str]
    show: str
    every_item: bool = False
    rows: list[tuple[Path, Graded | None]] = field(default_factory=list)
    failures: dict[Path, int] = field(default_factory=dict)

    def take(self, run: Path, outcome: Graded | Exception) -> None:
        """Report a failure, or write and show the result."""
        if isinstance(outcome, Exception):
            self.failures[run] = exits.failed(outcome, run.name)
            self.rows.append((run, None))
            return
        self.rows.append((run, outcome))
        try:
            self._deliver(run, outcome)
        except Exception as error:
            self.failures[run] = exits.failed(error, run.name)

    def _deliver(self, run: Path, graded: Graded) -> None:
        """Write the files and show the result; it is shown even when writing failed."""
        for notice in graded.notices:
            exits.say(f"[{notice.code}] {run.name}: {notice.text}")
        written, faults = self.delivery.write(graded, run, self.names[run])
        for fault in faults:
            self.failures[run] = exits.report(fault, run.name)
        if self.show == "json":
            print(json.dumps(graded.document(), ensure_ascii=False), flush=True)
            return
        if self.show == "summary":
            from rich.console import Console

            from walkgrade.reports.terminal import terminal_report

            Console().print(terminal_report(graded.document(), every_item=self.every_item))
        for place in written:
            print(f"written: {place}", flush=True)

    @property
    def status(self) -> int:
        """The exit code of the whole job."""
        return exits.joint(tuple(self.failures.values()), len(self.names))

    def say_kept(self) -> None:
        """After Ctrl-C: what is done, and how to go on."""
        done = sum(graded is not None for _, graded in self.rows)
        exits.say("")
        if done:
            exits.say(f"{done} of {len(self.names)} runs are done; their files are whole.")
        exits.say(
            "What was recognised of the others is kept in the cache: "
            "the same command goes on from there."
        )

    def show_overview(self) -> None:
        """One line a run."""
        from rich.console import Console
        from rich.table import Table
        from rich.text import Text

        table = Table(box=None, pad_edge=False)
        for heading in ("run", "complete", "of", "to hear", "critical", "points"):
            table.add_column(heading, justify="left" if heading == "run" else "right")
        for run, graded in self.rows:
            if graded is None:
                table.add_row(Text(run.name), "could not be graded", "", "", "", "")
                continue
            tally = graded.grade.totals
            table.add_row(
                Text(run.name),
                str(tally.complete),
                str(tally.items),
                str(len(graded.grade.listening)),
                str(len(graded.grade.critical)),
                "-" if tally.percent is None else f"{tally.percent} %",
            )
        Console().print(table)
