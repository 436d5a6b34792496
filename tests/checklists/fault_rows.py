# ruff: noqa: E501 - one row a line, so that the table can be read down
"""Ways to spoil the small checklist, and the fault each must give."""

from __future__ import annotations

from dataclasses import dataclass

from checklist_writer import GOOD


@dataclass(frozen=True)
class Bad:
    """A change that spoils the checklist, and the fault it must give."""

    old: str
    new: str
    at: str
    says: str
    shared: bool = False


LEVEL = "{id: level, says: level, concepts: [level]}"
OIL = "sections[0].items[0]"
LIMIT = "parts.tread.requires[0].limit"
BAD = {
    "unknown key": Bad("        why: Low", "        reason: Low", f"{OIL}.reason", "unknown key"),
    "unknown top key": Bad("vehicle: bus", "vehicle: bus\ncolour: red", "colour", "unknown key"),
    "missing key": Bad("vehicle: bus\n", "", "vehicle", "required"),
    "empty value": Bad("title: Small list", "title:", "title", "empty"),
    "wrong format": Bad("format: 1", "format: 2", "format", "less than or equal to 1"),
    "bare no": Bad("names: [oil level]", "names: [no]", f"{OIL}.names[0]", 'bare no as False; put it in quotes: "no"'),
    "bare off": Bad('id: "off"', "id: off", "sections[1].items[0].requires[0].id", "bare off as False"),
    "bare 1.10": Bad('version: "1.0"', "version: 1.10", "version", 'bare 1.10 as 1.1; put it in quotes: "1.10"'),
    "bare date": Bad('version: "1.0"', "version: 2024-01-02", "version", "bare 2024-01-02"),
    "float in a limit": Bad('low: "4/32"', "low: 1.10", f"{LIMIT}.low", "bare 1.10 as 1.1", True),
    "empty names": Bad("names: [oil level]", "names: []", f"{OIL}.names", "at least 1 item"),
    "blank name": Bad("names: [oil level]", 'names: [" "]', f"{OIL}.names[0]", "at least 1 character"),
    "names not a list": Bad("names: [oil level]", "names: oil", f"{OIL}.names", "must be a list"),
    "bad id": Bad("id: engine.oil-level", "id: Engine Oil", f"{OIL}.id", "is no id here"),
    "duplicate item": Bad("id: check.hold", "id: check.stop", "sections[1].items[1].id", "stands twice"),
    "duplicate key": Bad("        row: E2\n", "        row: E2\n        row: E3\n", f"{OIL}.row", "stands twice"),
    "duplicate requirement": Bad(LEVEL, f"{LEVEL}\n          - {LEVEL}", OIL, "requirement id 'level' stands twice"),
    "duplicate section": Bad("id: check\n", "id: engine\n", "sections[1].id", "section 'engine' stands twice"),
    "duplicate place": Bad("id: rear-axle", "id: engine", "places[2].id", "place 'engine' stands twice", True),
    "unknown concept": Bad("concepts: [level]", "concepts: [levle]", f"{OIL}.requires[0].concepts[0]", "did you mean level?"),
    "unknown source": Bad("basis: [manual]", "basis: [manuel]", f"{OIL}.basis[0]", "did you mean manual?"),
    "no source": Bad("        basis: [manual]\n", "", OIL, "names no source"),
    "unknown standing": Bad("standing: published", "standing: sure", "sources.manual.standing", "is not one of", True),
    "unknown part": Bad("part: tread", "part: thread", "sections[0].items[1].part", "did you mean tread?"),
    "unknown place": Bad("place: front-axle", "place: front-axel", "sections[0].items[1].place", "did you mean front-axle?"),
    "unknown profile key": Bad("{brakes: air}", "{brake: air}", "sections[1].items[1].if_fitted.brake", "did you mean brakes?"),
    "unknown profile word": Bad("{brakes: air}", "{brakes: disc}", "sections[1].items[1].if_fitted.brakes", "is not one of: air, hydraulic"),
    "bare word in a rule": Bad("{brakes: air}", "{brakes: no}", "sections[1].items[1].if_fitted.brakes", "bare no as False"),
    "no title": Bad("        title: Oil level\n", "", OIL, "missing title"),
    "nothing required": Bad("        requires:\n          - " + LEVEL + "\n", "", OIL, "nothing is required"),
    "nothing earns it": Bad("concepts: [level]", "about: [oil]", f"{OIL}.requires[0]", "nothing earns it"),
    "carry over to itself": Bad("carry_over: [rear-axle.tread]", "carry_over: [front-axle.tread]", "sections[0].items[1].carry_over", "cannot carry over to itself"),
    "carry over to nothing": Bad("carry_over: [rear-axle.tread]", "carry_over: [rear-axle.thread]", "sections[0].items[1].carry_over", "did you mean rear-axle.tread?"),
    "change of nothing": Bad("          depth: {says", "          deep: {says", "sections[0].items[2].requires_change", "has no requirement 'deep'"),
    "budgets": Bad("budget_minutes: 2", "budget_minutes: 5", "budget_minutes", "add up to 6 minutes, not 3"),
    "empty slot": Bad("engine|motor off", "engine||motor off", "sections[1].items[0].requires[0].patterns[0]", "is no pattern"),
    "only absent": Bad('"one|1 minute"', '"!one"', "sections[1].items[1].requires[0].patterns[0]", "must be said"),
    "bad fraction": Bad('low: "4/32"', 'low: "4/0"', f"{LIMIT}.low", "is no number", True),
    "negative": Bad('low: "4/32"', "low: -4", f"{LIMIT}.low", "is no number", True),
    "unknown unit": Bad("unit: in,", "unit: inch,", f"{LIMIT}.unit", "is not one of: in, ft", True),
    "unknown comparator": Bad("comparator: at least", "comparator: over", f"{LIMIT}.comparator", "is not one of: at least", True),
    "comparator and side": Bad("comparator: at least", "comparator: at most", LIMIT, "'at most' takes high", True),
    "between one side": Bad("comparator: at least", "comparator: between", LIMIT, "takes low and high", True),
    "between upside down": Bad('comparator: at least, low: "4/32"', 'comparator: between, low: 6, high: 5', LIMIT, "low 6 must be below high 5", True),
    "accept leaves out": Bad('accept: ["4/32", "4/32"]', 'accept: ["2/32", "3/32"]', f"{LIMIT}.accept", "leaves out the rule's own low", True),
    "accept backwards": Bad('accept: ["4/32", "4/32"]', 'accept: ["5/32", "4/32"]', f"{LIMIT}.accept", "runs backwards", True),
    "accept of one": Bad('accept: ["4/32", "4/32"]', 'accept: ["4/32"]', f"{LIMIT}.accept", "at least 2 items", True),
    "include missing": Bad("[shared.yaml]", "[shared.yaml, gone.yaml]", "include[1]", "gone.yaml: cannot be opened"),
    "include elsewhere": Bad("[shared.yaml]", "[shared.yaml, ../x.yaml]", "include[1]", "file beside"),
    "include itself": Bad("sources:\n", "include: [small.yaml]\nsources:\n", "include[0]", "include each other: small.yaml -> shared.yaml -> small.yaml", True),
    "sections no list": Bad(GOOD[GOOD.index("sections:"):], "sections: none\n", "sections", "must be a list"),
}  # fmt: skip
