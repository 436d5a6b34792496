"""How often the suggestions for a school's own sheet are right, on rows labelled by hand."""

from __future__ import annotations

from collections import Counter

from own_sheet_rows import ROWS

from walkgrade.checklists.library import find_checklist, shipped_parts
from walkgrade.checklists.sheet_links import known_parts, link_conditions, link_part
from walkgrade.language.plain import heard_in

LIKE = find_checklist("school-bus-air-classic")
KNOWN = known_parts(shipped_parts(), LIKE)


def scores() -> tuple[Counter[tuple[str, bool]], Counter[tuple[str, bool]]]:
    """(how sure, right?) of the parts and of the conditions suggested."""
    parts: Counter[tuple[str, bool]] = Counter()
    conditions: Counter[tuple[str, bool]] = Counter()
    for item, say, meant, concepts in ROWS:
        link = link_part(item, (), KNOWN)
        right = link[0].id in meant if link else not meant
        parts[str(link[1]) if link else "none", right] += 1
        found = link_conditions(say, link, lambda text: heard_in(text, LIKE))
        is_heard = found is not None and found.kind == "conditions"
        good = bool(found and set(found.values) & concepts) if is_heard else not concepts
        conditions[str(found.sure) if found else "guess", good] += 1
    return parts, conditions


def test_what_is_called_sure_is_right() -> None:
    parts, conditions = scores()
    assert parts["sure", False] <= 1
    assert parts["sure", True] >= 37
    assert conditions["sure", False] <= 1
    assert conditions["sure", True] >= 18


def test_most_of_what_is_likely_is_right() -> None:
    _, conditions = scores()
    assert conditions["likely", True] >= 18
    assert conditions["likely", False] <= 4
