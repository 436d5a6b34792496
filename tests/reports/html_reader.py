"""Reads a page strictly enough for tests: nesting, ids, headings, links, text outside tags."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = {"meta", "input", "br", "link", "img", "hr", "source"}
SVG_LEAF = {"rect", "path", "line", "circle"}


class Page(HTMLParser):
    """Parse with `Page.of(html)`; faults are gathered in `faults`."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.faults: list[str] = []
        self.stack: list[str] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.headings: list[tuple[int, str]] = []
        self.text: list[str] = []
        self.scripts: list[str] = []

    @classmethod
    def of(cls, html: str) -> Page:
        page = cls()
        page.feed(html)
        page.close()
        if page.stack:
            page.faults.append(f"never closed: {page.stack}")
        return page

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(names) != len(set(names)):
            self.faults.append(f"doubled attribute in <{tag}>: {names}")
        self.tags.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.stack.append(tag)
        if tag in ("h1", "h2", "h3", "h4", "h5", "h6"):
            self.headings.append((int(tag[1]), ""))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in SVG_LEAF:
            self.faults.append(f"<{tag}/> outside SVG")
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        if not self.stack or self.stack[-1] != tag:
            self.faults.append(f"</{tag}> closes {self.stack[-1:]} at {self.getpos()}")
        if tag in self.stack:
            while self.stack.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        if "script" in self.stack:
            self.scripts.append(data)
        elif "style" not in self.stack:
            self.text.append(data)
            if self.headings and any(tag in self.stack for tag in ("h1", "h2", "h3", "h4")):
                level, words = self.headings[-1]
                self.headings[-1] = (level, words + data)

    def ids(self) -> list[str]:
        return [attrs["id"] for _, attrs in self.tags if "id" in attrs]

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attrs for name, attrs in self.tags if name == tag]
