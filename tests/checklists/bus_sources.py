# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""Published values for the hydraulic school bus and the coach, written apart from the YAML.

The numbers come from the titles and sections named beside them.
Public: all tables.
"""

from __future__ import annotations

HYDRAULIC = ("school-bus-hydraulic-classic", "school-bus-hydraulic-modern")
COACH = ("coach-air-classic", "coach-air-modern")
PROFILES = dict.fromkeys(HYDRAULIC, "yard-bus-hydraulic") | dict.fromkeys(COACH, "yard-coach")

MANUAL = "State commercial driver manual, 2005 test system"
MODERN = "State commercial driver manual, modernized test"
HABIT = "Habit of the trade"
TREAD, PADS = "49 CFR 393.75", "49 CFR 393.47"
BELT = ("at most", None, "3/4", "in", ("1/2", "3/4"), MANUAL, "11.1.1")  # play of 1/2 to 3/4 in
DEF = ("above", "1/8", None, "fraction", ("1/8", "1"), MANUAL, "11.1.1")

# requirement: (comparator, low, high, unit, accepted, title, start of the section)
BOTH = {
    # 49 CFR 393.75(b) and (c): 4/32 in on the front wheels of a bus, 2/32 in elsewhere
    "front-axle.tyre-tread.depth": ("at least", "4/32", None, "in", ("4/32", "4/32"), TREAD, "(b)"),
    "rear-axle.tyre-tread.depth": ("at least", "2/32", None, "in", ("2/32", "2/32"), TREAD, "(c)"),
    # manual 2.1.3, from memory: 10 degrees, or 2 in at a 20-inch wheel
    "cab.steering-play.play": ("at most", None, "10", "degree", ("10", "10"), MANUAL, "2.1.3"),
    # manual 11.1.2: about 5 mph
    "cab.service-brake.speed": ("about", "5", None, "mph", ("3", "7"), MANUAL, "11.1.2"),
    "engine.alternator.snug": BELT,
    "engine.water-pump.snug": BELT,
    "engine.power-steering-pump.snug": BELT,
    "cab.def-gauge.level": DEF,
    "left-side.def-tank.level": DEF,
    "right-side.def-tank.level": DEF,
    # manual figure 2.5 and 2.1.5: idling 5 to 20 psi, running 35 to 75 psi
    "cab.oil-pressure.reading": ("between", "35", "75", "psi", ("5", "75"), MANUAL, "2.1.5"),
    # common practice, no source
    "cab.water-temperature.reading": ("about", "190", None, "F", ("160", "220"), HABIT, ""),
    "cab.oil-temperature.reading": ("about", "200", None, "F", ("160", "250"), HABIT, ""),
    "cab.voltmeter.reading": ("between", "12", "14", "V", ("12", "15"), HABIT, ""),
}  # fmt: skip
LIMITS_HYDRAULIC = {
    **BOTH,
    # 49 CFR 393.47(d), hydraulic: more than 1/16 in on the steering axle, at least 1/16 in elsewhere;
    # the trade's quarter inch is more than enough and is accepted
    "front-axle.brake-linings.thickness": ("above", "1/16", None, "in", ("1/16", "1/4"), PADS, "(d)(1)"),
    "front-axle.brake-pads.thickness": ("above", "1/16", None, "in", ("1/16", "1/4"), PADS, "(d)(1)"),
    "rear-axle.brake-linings.thickness": ("at least", "1/16", None, "in", ("1/16", "1/4"), PADS, "(d)(2)"),
    "rear-axle.brake-pads.thickness": ("at least", "1/16", None, "in", ("1/16", "1/4"), PADS, "(d)(2)"),
    # manual 11.1.2 and 2.1.5: pump three times, hold five seconds
    "hydraulic-brake.pump.three": ("exactly", "3", None, "count", ("3", "3"), MANUAL, "11.1.2"),
    "hydraulic-brake.hold.seconds": ("exactly", "5", None, "s", ("5", "5"), MANUAL, "11.1.2"),
    # common practice, no source
    "cab.first-aid-kit.units": ("at least", "24", None, "unit", ("24", "24"), HABIT, ""),
    # Maryland COMAR 11.19.03.24: a five-pound extinguisher
    "cab.fire-extinguisher.size": ("at least", "5", None, "lb", ("5", "20"), "Maryland COMAR 11.19.03.24", ""),
}  # fmt: skip
LIMITS_COACH = {
    **BOTH,
    "tag-axle.tyre-tread.depth": ("at least", "2/32", None, "in", ("2/32", "2/32"), TREAD, "(c)"),
    "engine.air-compressor.snug": BELT,
    # 49 CFR 393.47(d): air drum 3/16 in (one strip) on the steering axle, 1/4 in elsewhere; air disc 1/8 in
    "front-axle.brake-linings.thickness": ("at least", "3/16", None, "in", ("3/16", "1/4"), PADS, "(d)(1)"),
    "front-axle.brake-pads.thickness": ("at least", "1/8", None, "in", ("1/8", "1/4"), PADS, "(d)(1)"),
    "rear-axle.brake-linings.thickness": ("at least", "1/4", None, "in", ("1/4", "1/4"), PADS, "(d)(2)"),
    "rear-axle.brake-pads.thickness": ("at least", "1/8", None, "in", ("1/8", "1/4"), PADS, "(d)(2)"),
    "tag-axle.brake-linings.thickness": ("at least", "1/4", None, "in", ("1/4", "1/4"), PADS, "(d)(2)"),
    "tag-axle.brake-pads.thickness": ("at least", "1/8", None, "in", ("1/8", "1/4"), PADS, "(d)(2)"),
    # manual 11.2.3: push rod moves at most about 1 in by hand
    **{
        f"{axle}.slack-adjuster.{short}": ("at most", None, "1", "in", ("1", "1"), MANUAL, "11.2.3")
        for axle in ("front-axle", "rear-axle", "tag-axle")
        for short in ("travel", "hand-travel")
    },
    # manual 5.3.3 and 11.1.2, single vehicle: 2 psi static, 3 psi applied, in one minute
    "air-brake.leak.static": ("at most", None, "2", "psi", ("0", "2"), MANUAL, "5.3.3"),
    "air-brake.leak.loss": ("at most", None, "3", "psi", ("0", "3"), MANUAL, "11.1.2"),
    "air-brake.leak.minute": ("exactly", "1", None, "min", ("1", "1"), MANUAL, "11.1.2"),
    # manual 11.1.2: before 55 psi; 49 CFR 571.121 S5.1.5: 60 psi
    "air-brake.warning.pressure": ("about", "55", None, "psi", ("55", "60"), "49 CFR 571.121", "S5.1.5"),
    # manual 5.1.14 and 5.3.3, from memory: 20 to 45 psi
    "air-brake.pop-out.pressure": ("between", "20", "45", "psi", ("20", "45"), MANUAL, "5.1.14"),
    # manual 11.1.2: 120 to 140 psi; 49 CFR 571.121 S5.1.1.1: cut-in at least 85 psi for a bus
    "air-brake.charge.cut-out": ("between", "120", "140", "psi", ("120", "140"), MANUAL, "11.1.2"),
    "air-brake.charge.cut-in": ("between", "85", "100", "psi", ("85", "100"), "49 CFR 571.121", "S5.1.1.1"),
    "cab.air-gauge.reading": ("about", "120", None, "psi", ("100", "140"), HABIT, ""),
}  # fmt: skip
