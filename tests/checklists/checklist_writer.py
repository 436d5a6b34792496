"""A small good checklist, written to files so that a test can spoil one line of it."""

from __future__ import annotations

from pathlib import Path

GOOD = """\
format: 1
id: small
version: "1.0"
title: Small list
vehicle: bus
edition: test
budget_minutes: 3
include: [shared.yaml]
sections:
  - id: engine
    title: Engine
    budget_minutes: 2
    place: engine
    items:
      - id: engine.oil-level
        row: E2
        title: Oil level
        names: [oil level]
        why: Low oil can seize the engine.
        basis: [manual]
        requires:
          - {id: level, says: level, concepts: [level]}
      - part: tread
        place: front-axle
        carry_over: [rear-axle.tread]
      - part: tread
        place: rear-axle
        carry_over: [front-axle.tread]
        requires_change:
          depth: {says: at least 2/32 inch}
  - id: check
    title: Check
    budget_minutes: 1
    place: engine
    procedure: true
    items:
      - id: check.stop
        row: AB-2
        title: Engine off
        names: [engine off]
        basis: [manual]
        requires:
          - {id: "off", says: engine off, patterns: ["engine|motor off|stopped"]}
      - id: check.hold
        row: AB-2
        title: Hold
        names: [hold the pedal]
        if_fitted: {brakes: air}
        basis: [manual]
        requires:
          - {id: minute, says: one minute, patterns: ["one|1 minute"]}
"""

SHARED = """\
sources:
  manual: {title: Manual, section: "1", standing: published}
profile_keys:
  brakes: [air, hydraulic]
places:
  - {id: engine, title: Engine, cues: [under the hood]}
  - {id: front-axle, title: Front axle, cues: [front axle]}
  - {id: rear-axle, title: Rear axle, cues: [rear axle]}
parts:
  tread:
    row: W2
    title: "Tread, {place}"
    names: [tread]
    why: Worn tread slides.
    basis: [manual]
    requires:
      - id: depth
        says: at least 4/32 inch
        limit: {quantity: tread depth, comparator: at least, low: "4/32", unit: in,
                accept: ["4/32", "4/32"]}
    optional:
      - {id: even, says: evenly worn, concepts: [even_wear]}
"""


def write_small(
    folder: Path, *changes: tuple[str, str], shared: tuple[tuple[str, str], ...] = ()
) -> Path:
    """Write both files with the given replacements, each of which must find its text."""
    main, other = GOOD, SHARED
    for old, new in changes:
        assert old in main, old
        main = main.replace(old, new, 1)
    for old, new in shared:
        assert old in other, old
        other = other.replace(old, new, 1)
    (folder / "small.yaml").write_text(main, encoding="utf-8")
    (folder / "shared.yaml").write_text(other, encoding="utf-8")
    return folder / "small.yaml"
