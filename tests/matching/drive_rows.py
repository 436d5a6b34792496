# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""Rows on what turns a part, held against the yard bus: alternator and water pump by belt, air
compressor and power steering pump by gear (reference_checklists/profiles/yard-bus-air.yaml).

A wrong drive stands against `not-belt` where the part has no belt, and is remarked either way.
"""

from __future__ import annotations

from spoken_rows import row

_NOT_BELT = "engine.air-compressor not-belt"
_CLASH = {"against": _NOT_BELT, "clash": "engine.air-compressor"}
_HERE = "Engine compartment."

BELT_ON_A_GEAR = (
    row("belt-on-a-gear-drive", _HERE, "The air compressor runs off a belt.", **_CLASH),
    row("belt-driven", _HERE, "The air compressor is belt driven.", **_CLASH),
    row("belt-driven-list", _HERE, "Air compressor, belt-driven.", **_CLASH),
    row("driven-by-the-belt", _HERE, "The air compressor is driven by the belt.", **_CLASH),
    row("on-a-belt", _HERE, "The air compressor's on a belt.", **_CLASH),
    row("same-belt", _HERE, "The air compressor is on the same belt.", **_CLASH),
    row("belt-turns-it", _HERE, "A belt turns the air compressor.", **_CLASH),
    row("has-its-belt", _HERE, "The air compressor has its own belt.", **_CLASH),
    row("not-gear-driven", _HERE, "The air compressor isn't gear driven.", **_CLASH),
    row("by-pronoun", _HERE, "That's the air compressor.", "It runs off a belt too.", **_CLASH),
    row("by-nothing", _HERE, "Air compressor.", "Belt driven.", **_CLASH),
    row("hedged-once", _HERE, "I think the air compressor is belt driven.", **_CLASH),
    row("rest-is-told", _HERE, "The air compressor runs off a belt, it's mounted tight and not leaking.", gets="engine.air-compressor secure leak", **_CLASH),
    row("other-part-right", _HERE, "The steering pump is gear driven and the air compressor runs off a belt.", gets="engine.power-steering-pump not-belt", **_CLASH),
    row("other-part-after", _HERE, "The air compressor is belt driven, and the steering pump is gear driven.", gets="engine.power-steering-pump not-belt", **_CLASH),
    row("all-by-belt", _HERE, "Alternator, water pump, air compressor, all belt driven.", **_CLASH),
    row("spoiled", _HERE, "The air compressor is gear driven.", "I mean, the air compressor runs off a belt.", **_CLASH),
)  # fmt: skip

GEAR_ON_A_BELT = (
    row("gear-on-a-belt-drive", _HERE, "The water pump is gear driven.", clash="engine.water-pump"),
    row("off-the-gears", _HERE, "The alternator runs off the gears.", clash="engine.alternator"),
    row("shaft-driven", _HERE, "The water pump is driven by a shaft.", clash="engine.water-pump"),
    row("no-belt-on-it", _HERE, "Water pump, there's no belt on it.", clash="engine.water-pump"),
    row("not-belt-driven", _HERE, "The alternator is not belt driven.", clash="engine.alternator"),
    row("gears-for-both", _HERE, "The alternator and the water pump are both gear driven.", clash="engine.alternator engine.water-pump"),
    row("told-by-its-belt", _HERE, "The alternator is gear driven, mounted tight.", gets="engine.alternator mounted", clash="engine.alternator"),
)  # fmt: skip

RIGHT_DRIVE = (
    row("gear", _HERE, "The air compressor is gear driven.", gets=_NOT_BELT),
    row("gears-turn-it", _HERE, "Air compressor, gears turn it.", gets=_NOT_BELT),
    row("off-gears", _HERE, "The air compressor runs off the gears.", gets=_NOT_BELT),
    row("shaft", _HERE, "The air compressor is shaft driven.", gets=_NOT_BELT),
    row("not-belt", _HERE, "The air compressor is not belt driven.", gets=_NOT_BELT),
    row("does-not-run", _HERE, "The air compressor doesn't run off a belt.", gets=_NOT_BELT),
    row("no-belt", _HERE, "Air compressor. There is no belt on it.", gets=_NOT_BELT),
    row("double-negation", _HERE, "The air compressor, there ain't no belt to it.", gets=_NOT_BELT),
    row("rather-than", _HERE, "The air compressor is driven by gears rather than a belt.", gets=_NOT_BELT),
    row("gear-not-belt", _HERE, "The air compressor is gear driven, not belt driven.", gets=_NOT_BELT),
    row("belt-is-right", _HERE, "The alternator is belt driven."),
    row("belt-turns-two", _HERE, "One belt turns the alternator and the water pump."),
    row("each-its-own", _HERE, "The alternator is belt driven and the air compressor is gear driven.", gets=_NOT_BELT),
    row("belt-of-another", _HERE, "The air compressor is gear driven.", "The belt that turns the water pump is not cracked.", gets=f"{_NOT_BELT}; engine.water-pump belt"),
    row("next-part-after-no-belt", _HERE, "Water pump belt, not cracked.", "Air compressor.", "No belt on it, mounted tight.", gets="engine.water-pump belt; engine.air-compressor not-belt secure"),
)  # fmt: skip

CORRECTED_DRIVE = (
    row("no-gear", _HERE, "Air compressor, belt driven, no, gear driven.", gets=_NOT_BELT),
    row("no-wait", _HERE, "The air compressor runs off a belt, no wait, it runs off gears.", gets=_NOT_BELT),
    row("next-breath", _HERE, "The air compressor runs off a belt.", "No, it's gear driven.", gets=_NOT_BELT),
    row("scratch-that", _HERE, "The air compressor runs off a belt, scratch that."),
    row("belt-after-all", _HERE, "The water pump is gear driven.", "Sorry, the water pump is belt driven."),
)  # fmt: skip

NO_STATEMENT = (
    row("asked", _HERE, "Is the air compressor belt driven?"),
    row("supposed", _HERE, "If the air compressor is belt driven, you press the belt."),
    row("some-engines", _HERE, "On some engines the air compressor is belt driven."),
    row("heard-from-others", _HERE, "They told me the air compressor runs off a belt."),
    row("once-thought", _HERE, "I thought the air compressor was belt driven."),
    row("either", _HERE, "The air compressor is either belt driven or gear driven."),
    row("pure-guess", _HERE, "I guess maybe the air compressor is belt driven."),
    row("old-bus", _HERE, "On my old bus the air compressor was belt driven."),
    row("examiner-says-so", "trainee: Engine compartment. The air compressor.", "examiner: It runs off a belt."),
    row("described", _HERE, "Water pump.", "The thing that makes the air has no belt.", gets=_NOT_BELT),
)  # fmt: skip
