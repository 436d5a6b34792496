"""Read a checklist file and everything it includes, and check the shape of each.

Decides: how files are joined, and that one bad entry does not hide faults elsewhere: an entry with
a fault of shape is left out, and what remains is still checked for meaning.
Conventions: included files lie beside the file that names them; each is read once; files come in
the order checklist first, then includes depth first.
Public: `Gathered`, `gather`, `shape_faults`, `empty_faults`, `validate_alone`.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.marked_yaml import Marked, Route, read_marked
from walkgrade.checklists.schema import ChecklistFile, SharedFile
from walkgrade.errors import Fault

_ENTRY_LISTS = {
    "items", "requires", "optional", "requires_add", "optional_add", "places", "sections",
}  # fmt: skip
_ENTRY_MAPS = {"parts", "sources", "profile_keys", "profile_questions", "requires_change"}
_PLAIN = {
    "extra_forbidden": "unknown key; see docs/checklist-format.md for the keys allowed here",
    "missing": "missing; this key is required",
    "model_type": "must be a mapping of keys and values",
    "dict_type": "must be a mapping of keys and values",
    "list_type": "must be a list",
}
# Kinds of fault where a bare word or number that YAML converts is the likely slip.
_WANT_TEXT = {"string_type", "list_type", "value_error"}
_PLACEHOLDERS: dict[str, Any] = {
    "format": 1, "id": "unknown", "version": "0", "title": "unknown", "vehicle": "unknown",
    "edition": "unknown", "budget_minutes": 0, "sections": [None],
}  # fmt: skip


@dataclass(slots=True, kw_only=True)
class Gathered:
    """The files of one checklist with their models (None where the shape is past saving).

    `dropped` is True when an entry was left out, `unread` when a whole file was: references to
    what stood there must not be called unknown.
    """

    files: list[tuple[Marked, SharedFile | None]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    dropped: bool = False
    unread: bool = False

    @property
    def checklist(self) -> ChecklistFile | None:
        """The checklist file itself."""
        first = self.files[0][1]
        return first if isinstance(first, ChecklistFile) else None

    @property
    def whole(self) -> bool:
        """True when every file could be used at least in part."""
        return all(model is not None for _, model in self.files)


def gather(path: Path) -> Gathered:
    """Read `path` and its includes.

    Raises
    ------
    FaultyFileError : C01 when `path` itself cannot be read as YAML.
    """
    gathered = Gathered()
    _add(gathered, path, ChecklistFile, (path.resolve(),), read_marked(path))
    return gathered


def shape_faults(marked: Marked, error: ValidationError) -> list[Fault]:
    """Turn the errors of one model into faults with line, path and a way to mend them."""
    faults = []
    for item in error.errors(include_url=False):
        # pydantic ends the route of a bad key with "[key]"; the key itself is already in it.
        route = tuple(key for key in item["loc"] if key != "[key]")
        faults.append(marked.fault(route, _explain(item, marked.raw(route))))
    return faults


def _add(
    gathered: Gathered,
    path: Path,
    model: type[SharedFile],
    chain: tuple[Path, ...],
    marked: Marked,
) -> None:
    gathered.faults.extend(marked.faults)
    gathered.files.append((marked, _shape(gathered, marked, model)))
    names = marked.value.get("include", []) if isinstance(marked.value, dict) else []
    for index, name in enumerate(names if isinstance(names, list) else []):
        if isinstance(name, str):
            _include(gathered, path.parent, name, chain, marked, ("include", index))


def _include(
    gathered: Gathered,
    folder: Path,
    name: str,
    chain: tuple[Path, ...],
    owner: Marked,
    route: Route,
) -> None:
    target = (folder / name).resolve()
    if target in chain:
        circle = " -> ".join(p.name for p in (*chain[chain.index(target) :], target))
        gathered.faults.append(owner.fault(route, f"files include each other: {circle}"))
        return
    if Path(name).name != name:
        gathered.faults.append(owner.fault(route, f"{name!r} must be the name of a file beside"))
        return
    if any(marked.file == name for marked, _ in gathered.files):
        return
    try:
        marked = read_marked(target)
    except FaultyFileError as error:
        gathered.unread = gathered.dropped = True
        problem = error.faults[0]
        gathered.faults.append(owner.fault(route, f"{name}: {problem.message}"))
        if problem.line:
            gathered.faults.append(problem)
        return
    _add(gathered, target, SharedFile, (*chain, target), marked)


def _shape(gathered: Gathered, marked: Marked, model: type[SharedFile]) -> SharedFile | None:
    empty = empty_faults(marked)
    gathered.faults.extend(empty)
    try:
        return model.model_validate(marked.value)
    except ValidationError as error:
        gathered.faults.extend(f for f in shape_faults(marked, error) if not _is_empty(f, empty))
        gathered.dropped = True
        if not isinstance(marked.value, dict):
            return None
        kept = copy.deepcopy(marked.value)
        for item in error.errors():
            _blank(kept, tuple(item["loc"]), item["type"] == "extra_forbidden")
        if model is ChecklistFile:
            kept = {**_PLACEHOLDERS, **kept}
    try:
        return model.model_validate(kept)
    except ValidationError:
        return None


def empty_faults(marked: Marked) -> list[Fault]:
    """A fault for every key without a value."""
    routes = [route for route in marked.marks if _at(marked.value, route) is None]
    return [marked.fault(route, "empty; give a value") for route in routes]


def _is_empty(fault: Fault, empty: list[Fault]) -> bool:
    return any(fault.path == other.path for other in empty)


def _at(value: Any, route: Route) -> Any:
    for key in route:
        value = value[key]
    return value


def _blank(value: dict[str, Any], route: Route, unknown_key: bool) -> None:
    """Blank the innermost entry that holds the fault; lists keep their positions."""
    cut = 1
    for depth in range(2, len(route) + 1):
        if route[depth - 2] in _ENTRY_LISTS or route[depth - 2] in _ENTRY_MAPS:
            cut = depth
    if unknown_key:
        cut = len(route)
    holder: Any = value
    for key in route[: cut - 1]:
        known = isinstance(holder, list) or (isinstance(holder, dict) and key in holder)
        if not known:
            return  # an earlier fault has blanked what holds this one
        holder = holder[key]
    last = route[cut - 1]
    if isinstance(holder, list) and isinstance(last, int):
        holder[last] = None
    elif isinstance(holder, dict):
        holder.pop(last, None)


def _explain(item: Any, raw: str) -> str:
    kind, given = item["type"], item.get("input")
    converted = not isinstance(given, (str, dict, list)) and kind in _WANT_TEXT
    plain_number = kind == "value_error" and type(given) is int
    if raw and converted and not plain_number:
        return f'YAML reads the bare {raw} as {given!r}; put it in quotes: "{raw}"'
    if kind == "value_error":
        return str(item["ctx"]["error"])
    if kind == "string_pattern_mismatch":
        return f"{given!r} is no id here; ids are lower-case words joined by '-', levels by '.'"
    text = _PLAIN.get(kind, str(item["msg"]))
    return text if isinstance(given, (dict, list)) else f"{text} (given: {given!r})"


def validate_alone(marked: Marked, model: type[BaseModel]) -> tuple[Any, list[Fault]]:
    """Check a file that includes nothing; return its model (or None) and the faults."""
    try:
        return model.model_validate(marked.value), list(marked.faults)
    except ValidationError as error:
        return None, [*marked.faults, *shape_faults(marked, error)]
