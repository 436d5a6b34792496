# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""Published values for the truck checklists.

The numbers were written from the sources named beside them, not from the YAML files.
Public: all tables.
"""

from __future__ import annotations

MANUAL = "State commercial driver manual, 2005 test system"
MODERN = "State commercial driver manual, modernized test"
HABIT = "Habit of the trade"

AIR = ("straight-truck-air-classic", "straight-truck-air-modern")
HYDRAULIC = ("straight-truck-hydraulic-classic", "straight-truck-hydraulic-modern")
COMBINATION = ("tractor-trailer-classic", "tractor-trailer-modern")
LISTS = (*AIR, *HYDRAULIC, *COMBINATION)
CLASSIC = tuple(name for name in LISTS if name.endswith("classic"))
ALL_AIR = (*AIR, *COMBINATION)
AIR_CLASSIC = (AIR[0], COMBINATION[0])
TT_CLASSIC = COMBINATION[:1]

PROFILES = {
    **dict.fromkeys(AIR, ("yard-box-truck-air",)),
    **dict.fromkeys(HYDRAULIC, ("yard-box-truck-hydraulic",)),
    **dict.fromkeys(COMBINATION, ("yard-tractor-trailer", "yard-pintle-trailer")),
}

# (lists, requirement): (comparator, low, high, unit, accepted, title, start of the section)
LIMITS = [
    # 49 CFR 393.75(b) and (c): 4/32 in on the front wheels of a truck or tractor, 2/32 in elsewhere
    (LISTS, "front-axle.tyre-tread.depth", "at least", "4/32", None, "in", ("4/32", "4/32"), "49 CFR 393.75", "(b)"),
    (CLASSIC, "rear-axle.tyre-tread.depth", "at least", "2/32", None, "in", ("2/32", "2/32"), "49 CFR 393.75", "(c)"),
    (TT_CLASSIC, "trailer-axle.tyre-tread.depth", "at least", "2/32", None, "in", ("2/32", "2/32"), "49 CFR 393.75", "(c)"),
    # 49 CFR 393.47(d)(1): steering axle, air drum 3/16 in (one strip), air disc 1/8 in; trade 1/4 in
    (AIR_CLASSIC, "front-axle.brake-linings.thickness", "at least", "3/16", None, "in", ("3/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    (AIR_CLASSIC, "front-axle.brake-pads.thickness", "at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(1)"),
    # 49 CFR 393.47(d)(2): other axles, air drum 1/4 in, air disc 1/8 in
    (AIR_CLASSIC, "rear-axle.brake-linings.thickness", "at least", "1/4", None, "in", ("1/4", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (AIR_CLASSIC, "rear-axle.brake-pads.thickness", "at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (TT_CLASSIC, "trailer-axle.brake-linings.thickness", "at least", "1/4", None, "in", ("1/4", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (TT_CLASSIC, "trailer-axle.brake-pads.thickness", "at least", "1/8", None, "in", ("1/8", "1/4"), "49 CFR 393.47", "(d)(2)"),
    # 49 CFR 393.47(d): hydraulic, more than 1/16 in on the steering axle, at least 1/16 in elsewhere
    (HYDRAULIC[:1], "front-axle.brake-linings.thickness", "above", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    (HYDRAULIC[:1], "front-axle.brake-pads.thickness", "above", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(1)"),
    (HYDRAULIC[:1], "rear-axle.brake-linings.thickness", "at least", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(2)"),
    (HYDRAULIC[:1], "rear-axle.brake-pads.thickness", "at least", "1/16", None, "in", ("1/16", "1/4"), "49 CFR 393.47", "(d)(2)"),
    # manual 11.2.3: push rod moves at most about 1 in by hand, brakes released
    (AIR_CLASSIC, "front-axle.slack-adjuster.travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    (AIR_CLASSIC, "front-axle.slack-adjuster.hand-travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    (AIR_CLASSIC, "rear-axle.slack-adjuster.travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    (AIR_CLASSIC, "rear-axle.slack-adjuster.hand-travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3"),
    # manual 11.4: on each axle of the trailer the same
    (TT_CLASSIC, "trailer-axle.slack-adjuster.travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.4"),
    (TT_CLASSIC, "trailer-axle.slack-adjuster.hand-travel", "at most", None, "1", "in", ("1", "1"), MANUAL, "11.4"),
    # manual 5.3.3 and 11.1.2, in one minute: single vehicle 2 psi static and 3 psi applied,
    # combination 3 psi and 4 psi
    (AIR, "air-brake.leak.static", "at most", None, "2", "psi", ("0", "2"), MANUAL, "5.3.3"),
    (AIR, "air-brake.leak.loss", "at most", None, "3", "psi", ("0", "3"), MANUAL, "11.1.2"),
    (COMBINATION, "air-brake.leak.static", "at most", None, "3", "psi", ("0", "3"), MANUAL, "5.3.3"),
    (COMBINATION, "air-brake.leak.loss", "at most", None, "4", "psi", ("0", "4"), MANUAL, "11.1.2"),
    (ALL_AIR, "air-brake.leak.minute", "exactly", "1", None, "min", ("1", "1"), MANUAL, "11.1.2"),
    # manual 11.1.2: before 55 psi; 49 CFR 571.121 S5.1.5: 60 psi; either is right
    (ALL_AIR, "air-brake.warning.pressure", "about", "55", None, "psi", ("55", "60"), MANUAL, "11.1.2"),
    (ALL_AIR, "air-brake.warning.pressure", "about", "55", None, "psi", ("55", "60"), "49 CFR 571.121", "S5.1.5"),
    # single vehicle, manual 5.1.14 and 5.3.3, from memory: 20 to 45 psi
    (AIR, "air-brake.pop-out.pressure", "between", "20", "45", "psi", ("20", "45"), MANUAL, "5.1.14"),
    # combination, manual 11.1.2: about 40 psi; 49 CFR 393.43(b), from memory: 20 to 45 psi
    (COMBINATION, "air-brake.pop-out.pressure", "about", "40", None, "psi", ("20", "45"), MANUAL, "11.1.2"),
    (COMBINATION, "air-brake.pop-out.pressure", "about", "40", None, "psi", ("20", "45"), "49 CFR 393.43", "(b)"),
    # manual 11.1.2 and 2.1.5: cut-out 120 to 140 psi
    (ALL_AIR, "air-brake.charge.cut-out", "between", "120", "140", "psi", ("120", "140"), MANUAL, "11.1.2"),
    # 49 CFR 571.121 S5.1.1.1, 61 FR 60635: cut-in of a truck at least 100 psi; 120 is our ceiling
    (ALL_AIR, "air-brake.charge.cut-in", "at least", "100", None, "psi", ("100", "120"), "49 CFR 571.121", "S5.1.1.1 Compressor cut-in, trucks"),
    # manual 11.1.2 and 2.1.5, hydraulic: pump three times, hold five seconds
    (HYDRAULIC, "hydraulic-brake.pump.three", "exactly", "3", None, "count", ("3", "3"), MANUAL, "2.1.5"),
    (HYDRAULIC, "hydraulic-brake.hold.seconds", "exactly", "5", None, "s", ("5", "5"), MANUAL, "2.1.5"),
    # manual 11.1.2: about 5 mph
    (LISTS, "cab.service-brake.speed", "about", "5", None, "mph", ("3", "7"), MANUAL, "11.1.2"),
    # manual 2.1.3, from memory: 10 degrees (2 in at a 20-inch wheel)
    (CLASSIC, "cab.steering-play.play", "at most", None, "10", "degree", ("10", "10"), MANUAL, "2.1.3"),
    # manual 11.1.1: 1/2 to 3/4 in of belt play; DEF above 1/8
    (CLASSIC, "engine.alternator.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (CLASSIC, "engine.water-pump.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (CLASSIC, "engine.power-steering-pump.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (AIR_CLASSIC, "engine.air-compressor.snug", "at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1"),
    (LISTS, "cab.def-gauge.level", "above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    (("straight-truck-air-modern", "straight-truck-hydraulic-modern", "tractor-trailer-modern"), "left-side.def-tank.level", "above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    (("straight-truck-air-modern", "straight-truck-hydraulic-modern", "tractor-trailer-modern"), "right-side.def-tank.level", "above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1"),
    # manual figure 2.5 and 2.1.5: idling 5 to 20 psi, running 35 to 75 psi
    (CLASSIC, "cab.oil-pressure.reading", "between", "35", "75", "psi", ("5", "75"), MANUAL, "2.1.5"),
    # common practice, no source
    (CLASSIC, "cab.water-temperature.reading", "about", "190", None, "F", ("160", "220"), HABIT, ""),
    (CLASSIC, "cab.oil-temperature.reading", "about", "200", None, "F", ("160", "250"), HABIT, ""),
    (ALL_AIR, "cab.air-gauge.reading", "about", "120", None, "psi", ("100", "140"), HABIT, ""),
    (CLASSIC, "cab.voltmeter.reading", "between", "12", "14", "V", ("12", "15"), HABIT, ""),
]  # fmt: skip

# item of every list that has it: color by 49 CFR 393.11 Table 1 (rear clearance lamps: manual 11.1.2)
COLOURS = {
    "front.clearance-lamps": {"amber"}, "trailer-front.clearance-lamps": {"amber"},
    "left-side.side-marker-lamps": {"amber"}, "right-side.side-marker-lamps": {"amber"},
    "trailer-side.side-marker-lamps": {"amber"}, "trailer-side.middle-marker-lamps": {"amber"},
    "rear.clearance-lamps": {"red"}, "trailer-rear.clearance-lamps": {"red"},
    "front.headlights": {"white"}, "front.turn-signals": {"amber", "red"},
    "left-side.turn-signals": {"amber", "red"}, "right-side.turn-signals": {"amber", "red"},
    "rear.turn-signals": {"amber", "red"}, "tractor-rear.turn-signals": {"amber", "red"},
    "trailer-rear.turn-signals": {"amber", "red"}, "front.four-way-flashers": {"amber", "red"},
    "rear.four-way-flashers": {"amber", "red"}, "trailer-rear.four-way-flashers": {"amber", "red"},
    "rear.tail-lamps": {"red"}, "tractor-rear.tail-lamps": {"red"}, "trailer-rear.tail-lamps": {"red"},
    "rear.brake-lamps": {"red"}, "tractor-rear.brake-lamps": {"red"}, "trailer-rear.brake-lamps": {"red"},
    "rear.backing-lamps": {"white"}, "tractor-rear.backing-lamps": {"white"},
    "left-side.reflectors": {"amber"}, "right-side.reflectors": {"amber"},
    "trailer-side.reflectors": {"amber"}, "rear.reflectors": {"red"}, "trailer-rear.reflectors": {"red"},
    "front.lenses": {"amber"}, "left-side.lenses": {"amber"}, "right-side.lenses": {"amber"},
    "trailer-side.lenses": {"amber"}, "rear.lenses": {"red"}, "trailer-rear.lenses": {"red"},
}  # fmt: skip

# item: short ids of what must be said; the row of docs/sources.md beside it
MUST_SAY = {
    "coupling.air-lines": {"undamaged", "leak", "free"},  # T1
    "coupling.electric-line": {"undamaged", "free"},  # T1
    "coupling.glad-hands": {"locked", "undamaged", "leak"},  # T2
    "coupling.electric-plug": {"locked"},  # T2
    "coupling.catwalk": {"secure", "clear"},  # T3
    "coupling.mounting-bolts": {"secure", "complete"},  # T4
    "coupling.release-lever": {"in-place", "secure"},  # T5
    "coupling.locking-jaws": {"closed"},  # T6
    "coupling.safety-chains": {"secure", "free"},  # T6
    "coupling.skid-plate": {"grease", "secure", "undamaged", "complete"},  # T7
    "coupling.platform": {"undamaged"},  # T8
    "coupling.release-arm": {"engaged", "latch"},  # T9
    "coupling.kingpin": {"undamaged"},  # T10
    "coupling.apron": {"undamaged"},  # T10
    "coupling.gap": {"none"},  # T10
    "coupling.sliding-pins": {"engaged", "present"},  # T11
    "coupling.drawbar": {"undamaged"},  # T12
    "trailer-front.header-board": {"secure", "undamaged", "tarp"},  # T13
    "trailer-front.front-wall": {"undamaged"},  # T13
    "trailer-side.landing-gear": {"raised", "complete", "undamaged", "crank", "leak"},  # T14
    "trailer-side.trailer-frame": {"undamaged"},  # T15
    "trailer-axle.tandem-release": {"pins", "arm"},  # T15
    "trailer-axle.brake-chamber": {"leak", "undamaged", "secure"},  # T16
    "trailer-side.dot-tape": {"present", "secure"},  # T17
    "cab.tractor-parking-brake": {"pull", "holds"},  # T18
    "cab.trailer-parking-brake": {"pull", "holds"},  # T18
    "rear.cargo-doors": {"undamaged", "works"},  # R2
    "rear.cargo-ties": {"secure"},  # R2
    "rear.cargo-lift": {"leak", "undamaged", "stowed"},  # R2
    "left-side.cab-door": {"undamaged", "opens", "hinges"},  # D1
    "rear-axle.mud-flaps": {"secure", "undamaged"},  # R1
    "engine.master-cylinder": {"secure", "leak"},  # E7
    "engine.brake-fluid": {"level"},  # E7
    "cab.fire-extinguisher": {"charged", "secure"},  # C8, rating optional
    "trailer-rear.trailer-abs-lamp": {"lamp"},  # C10
}

# Parts that 11.2.7, 11.4 and 11M.6 print for both tests, and those of the classic test alone
BOTH_TESTS = {
    "air-lines",
    "electric-line",
    "glad-hands",
    "electric-plug",
    "mounting-bolts",
    "locking-jaws",
    "release-arm",
    "kingpin",
    "apron",
    "gap",
    "sliding-pins",
    "safety-chains",
    "dot-tape",
}
CLASSIC_ALONE = {
    "catwalk",
    "release-lever",
    "skid-plate",
    "platform",
    "drawbar",
    "header-board",
    "front-wall",
    "landing-gear",
    "trailer-frame",
    "tandem-release",
    "cargo-doors",
    "cab-door",
    "drive-shaft",
    "exhaust",
    "safety-belt",
    "slack-adjuster",
    "brake-chamber",
    "brake-drum",
    "hub-seal",
    "dual-spacing",
    "alternator",
    "safe-start",
    "oil-pressure",
    "mud-flaps",
}
