"""YAML read into plain values while keeping where each value stands.

Decides: which YAML we take (no aliases, no duplicate keys, only text keys).
Conventions: a path is a tuple of keys and list positions; lines count from 1; the raw text of a
plain scalar is kept, so a trap such as ``no`` or ``1.10`` can be explained in the reader's words.
Public: `Marked`, `Mark`, `read_marked`, `path_text`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from walkgrade.checklists.faults import FaultyFileError
from walkgrade.errors import Fault

Key = str | int
Route = tuple[Key, ...]
MOST_BYTES = 3_000_000
# The C parser is about five times faster; it is absent where PyYAML was built without libyaml.
_LOADER: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Where a value starts; `raw` is its text when it is a plain (unquoted) scalar."""

    line: int
    raw: str = ""


@dataclass(slots=True, kw_only=True)
class Marked:
    """One file: its values, the place of each, its bytes and the faults found while reading."""

    file: str
    value: Any
    content: bytes
    marks: dict[Route, Mark] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def line(self, route: Route) -> int:
        """Line of the value at `route`, or of its nearest parent that exists."""
        while route and route not in self.marks:
            route = route[:-1]
        return self.marks[route].line if route in self.marks else 1

    def raw(self, route: Route) -> str:
        """Unquoted text at `route`, empty when quoted or not a scalar."""
        return self.marks[route].raw if route in self.marks else ""

    def fault(self, route: Route, message: str) -> Fault:
        """A fault at `route` of this file."""
        return Fault(file=self.file, line=self.line(route), path=path_text(route), message=message)


def path_text(route: Route) -> str:
    """Write a route as ``sections[0].items[2].id``; the file itself is ``$``."""
    text = ""
    for key in route:
        text += f"[{key}]" if isinstance(key, int) else f".{key}"
    return text.removeprefix(".") or "$"


def read_marked(path: Path) -> Marked:
    """Read one YAML file.

    Raises
    ------
    FaultyFileError : C01 when the file cannot be opened, is not UTF-8 or is not YAML.
    """
    try:
        if path.is_file() and path.stat().st_size > MOST_BYTES:
            raise _unreadable(path, 0, f"is larger than {MOST_BYTES // 1_000_000} MB")
        content = path.read_bytes()
        text = content.decode("utf-8")
    except OSError as error:
        raise _unreadable(path, 0, f"cannot be opened: {error.strerror}") from error
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise _unreadable(path, line, "is not UTF-8 text") from error
    try:
        node = yaml.compose(text, Loader=_LOADER)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line = mark.line + 1 if mark else 0
        raise _unreadable(path, line, error.problem or "is not YAML") from error
    except yaml.YAMLError as error:
        raise _unreadable(path, 0, f"is not YAML: {error}") from error
    except RecursionError as error:
        raise _unreadable(path, 0, "is nested too deeply") from error
    if shared := _shared_node(node):
        line = shared.start_mark.line + 1
        raise _unreadable(path, line, "is used again by an alias (*name); write it out twice")
    marked = Marked(file=path.name, value=None, content=content)
    try:
        if node is not None:
            marked.value = _convert(marked, node, ())
    except RecursionError as error:
        raise _unreadable(path, 0, "is nested too deeply") from error
    return marked


def _shared_node(node: yaml.Node | None) -> yaml.Node | None:
    """The first node that stands in two places: aliases can make a small file endless."""
    seen: set[int] = set()
    todo = [node] if node is not None else []
    while todo:
        here = todo.pop()
        if id(here) in seen:
            return here
        seen.add(id(here))
        if isinstance(here, yaml.MappingNode):
            todo.extend(child for pair in here.value for child in pair)
        elif isinstance(here, yaml.SequenceNode):
            todo.extend(here.value)
    return None


def _unreadable(path: Path, line: int, problem: str) -> FaultyFileError:
    fault = Fault(file=path.name, line=line, path="$", message=problem)
    return FaultyFileError(
        "C01",
        f"{path} cannot be read as a checklist file: line {line}: {problem}.",
        "Mend the file and try again; docs/checklist-format.md shows the format.",
        (fault,),
    )


def _convert(marked: Marked, node: yaml.Node, route: Route) -> Any:
    plain = isinstance(node, yaml.ScalarNode) and not node.style
    marked.marks[route] = Mark(line=node.start_mark.line + 1, raw=str(node.value) if plain else "")
    if isinstance(node, yaml.MappingNode):
        return _mapping(marked, node, route)
    if isinstance(node, yaml.SequenceNode):
        return [_convert(marked, child, (*route, i)) for i, child in enumerate(node.value)]
    return _scalar(marked, node, route)


def _mapping(marked: Marked, node: yaml.MappingNode, route: Route) -> dict[str, Any]:
    result: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = str(key_node.value)
        here = (*route, key)
        if key in result:
            first = marked.marks[here].line
            line = key_node.start_mark.line + 1
            marked.faults.append(
                Fault(
                    file=marked.file,
                    line=line,
                    path=path_text(here),
                    message=f"key {key!r} stands twice (first on line {first}); keep one",
                )
            )
            continue
        result[key] = _convert(marked, value_node, here)
    return result


def _scalar(marked: Marked, node: yaml.Node, route: Route) -> Any:
    if node.tag == "tag:yaml.org,2002:str":
        return node.value
    try:
        value = _constructed(node.tag, str(node.value))
    except (yaml.YAMLError, ValueError) as error:
        marked.faults.append(marked.fault(route, f"cannot be read: {error}"))
        return node.value
    # YAML 1.1 reads 010 as 8 and 1:30 as 90; nobody means that here, so it stays text.
    odd = node.tag == "tag:yaml.org,2002:int" and _digits(value) != node.value
    return node.value if odd else value


@lru_cache(maxsize=10_000)
def _constructed(tag: str, text: str) -> Any:
    """The value of a scalar; ValueError when its tag and its text do not fit."""
    loader = yaml.SafeLoader("")
    try:
        return loader.construct_object(yaml.ScalarNode(tag, text))
    except (AttributeError, LookupError, TypeError, OverflowError) as error:
        # What the parser's own readers raise for `!!bool maybe` or `!!timestamp soon`.
        raise ValueError(f"{text!r} is no {tag.rpartition(':')[2]}") from error
    finally:
        loader.dispose()


def _digits(value: Any) -> str:
    try:
        return str(value)
    except ValueError:  # longer than Python writes out
        return ""
