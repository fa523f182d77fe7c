"""Where each key of a TOML text stands, so that an error can name its line. The standard library's reader forgets it.

The text is known to be valid TOML when it comes here, which lets the walk stay small: it tells keys, tables and values
apart and skips everything else.
"""

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(r'"""(?:\\.|[^\\])*?"""+|' + r"'''.*?'''+|" + r'"(?:\\.|[^"\\\n])*"|' + r"'[^'\n]*'", re.DOTALL)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]*")


def lines_of(text: str) -> dict[Path, int]:
    """Line (from 1) of every key, table and element of a valid TOML text; elements of arrays count from 0."""
    return _Walk(text.replace("\r\n", "\n")).whole()


def nearest_line(lines: dict[Path, int], path: Path) -> int:
    """Line of a key or, where the file lacks it, of the table that should hold it; 1 for the file itself."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


class _Walk:
    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.newlines = [match.start() for match in re.finditer("\n", text)]
        self.lines: dict[Path, int] = {}
        self.arrays: dict[Path, int] = {}

    def whole(self) -> dict[Path, int]:
        table: Path = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.skip(_BLANK)
        return self.lines

    def header(self) -> Path:
        start = self.at
        double = self.text.startswith("[[", start)
        self.at += 2 if double else 1
        keys = self.keys()
        self.at += 2 if double else 1
        table: Path = ()
        for number, key in enumerate(keys, start=1):
            table = (*table, key)
            if double and number == len(keys):
                self.arrays[table] = self.arrays.get(table, -1) + 1
            self.lines.setdefault(table, self.line(start))
            if table in self.arrays:
                table = (*table, self.arrays[table])
        self.lines.setdefault(table, self.line(start))
        return table

    def pair(self, table: Path) -> None:
        start = self.at
        keys = self.keys()
        path = (*table, *keys)
        for length in range(len(table) + 1, len(path) + 1):
            self.lines.setdefault(path[:length], self.line(start))
        self.at += 1  # the equals sign
        self.value(path)

    def keys(self) -> list[str]:
        """Keys joined by dots; stops at the equals sign or the bracket after them."""
        found = []
        while True:
            self.skip(_BLANK)
            if self.text[self.at] in "\"'":
                quoted = self.skip(_STRING)
                found.append(next(iter(tomllib.loads(f"{quoted} = 0"))))
            else:
                found.append(self.skip(_BARE_KEY))
            self.skip(_BLANK)
            if self.text[self.at] != ".":
                return found
            self.at += 1

    def value(self, path: Path) -> None:
        self.skip(_BLANK)
        opening = self.text[self.at]
        if opening in "\"'":
            self.skip(_STRING)
        elif opening in "[{":
            self.at += 1
            self.elements(path, closing="]" if opening == "[" else "}")
        else:
            self.skip(_SCALAR)

    def elements(self, path: Path, closing: str) -> None:
        number = 0
        while True:
            self.skip(_BLANK)
            if self.text[self.at] == closing:
                self.at += 1
                return
            if closing == "]":
                self.lines[(*path, number)] = self.line(self.at)
                self.value((*path, number))
                number += 1
            else:
                self.pair(path)
            self.skip(_BLANK)
            self.at += self.text[self.at] == ","

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise AssertionError(f"not valid TOML at character {self.at}")
        self.at = match.end()
        return match[0]

    def line(self, position: int) -> int:
        return bisect_right(self.newlines, position) + 1
