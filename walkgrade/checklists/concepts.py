"""The conditions a checklist may ask for, by id.

Decides: which concept ids a checklist may use. The words that express them belong to the language
room; a test holds this set and its lexicon together.
Conventions: ids are lower-case words joined by ``_``; meanings stand in docs/checklist-format.md.
Public: `CONCEPTS`.
"""

from __future__ import annotations

_IDS = """
secure no_leak no_damage
no_crack no_bend no_break no_dent no_hole no_cut no_bulge no_shift no_weld
no_wear no_fray no_rust no_separation no_retread
complete no_contamination clean clear legal level inflated by_gauge snug even_wear thick centred
works lamp_out alternates amber red white adjusted smooth latches extends retracted charging
reads_normal builds present charged rated sealed closed connected holds straight not_belt
breakers warns opens_how stands_level attached
"""

CONCEPTS: frozenset[str] = frozenset(_IDS.split())
