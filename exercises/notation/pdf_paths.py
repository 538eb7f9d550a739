"""SVG path data turned into PDF path operators (ISO 32000-1, 8.5.2), remembered per outline."""

from __future__ import annotations

import re
from functools import lru_cache

_TOKEN = re.compile(r"[A-Za-z]|-?(?:\d+\.?\d*|\.\d+)")
_ARGUMENTS = {"m": 2, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "z": 0}


@lru_cache(maxsize=2048)
def path_operators(data: str) -> str:
    """Translate path data to PDF operators in the same coordinates, without painting it.

    :raises ValueError: for a command that the engraver never writes (arcs)
    """
    return _Pen().run(data)


class _Pen:
    """Where the pen is while a path is translated."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self.x = self.y = 0.0
        self.start = (0.0, 0.0)
        self.control: tuple[float, float] | None = None
        self.was = ""

    def run(self, data: str) -> str:
        tokens = _TOKEN.findall(data)
        position, command = 0, ""
        while position < len(tokens):
            if tokens[position].isalpha():
                command = tokens[position]
                position += 1
            count = _ARGUMENTS.get(command.lower())
            if count is None:
                raise ValueError(f"path command {command!r} is not drawn here")
            numbers = [float(n) for n in tokens[position : position + count]]
            position += count
            self._step(command.lower(), numbers, is_relative=command.islower())
            if command in "Mm":
                command = "l" if command == "m" else "L"
        return " ".join(self.out)

    def _step(self, command: str, numbers: list[float], *, is_relative: bool) -> None:
        dx, dy = (self.x, self.y) if is_relative else (0.0, 0.0)
        if command == "z":
            self.out.append("h")
            self.x, self.y = self.start
        elif command == "h":
            self._line(numbers[0] + dx, self.y)
        elif command == "v":
            self._line(self.x, numbers[0] + dy)
        else:
            points = [(numbers[i] + dx, numbers[i + 1] + dy) for i in range(0, len(numbers), 2)]
            self._to(command, points)
        self.was = command

    def _to(self, command: str, points: list[tuple[float, float]]) -> None:
        if command == "m":
            self.x, self.y = self.start = points[0]
            self.out.append(f"{self.x:g} {self.y:g} m")
        elif command == "l":
            self._line(*points[0])
        elif command == "c":
            self._curve(points[0], points[1], points[2])
        elif command == "s":
            self._curve(self._mirrored("cs"), points[0], points[1])
        else:
            corner = points[0] if command == "q" else self._mirrored("qt")
            self._quadratic(corner, points[-1])

    def _mirrored(self, kinds: str) -> tuple[float, float]:
        if self.control is None or self.was not in kinds:
            return self.x, self.y
        return 2 * self.x - self.control[0], 2 * self.y - self.control[1]

    def _line(self, x: float, y: float) -> None:
        self.out.append(f"{x:g} {y:g} l")
        self.x, self.y = x, y

    def _curve(
        self, first: tuple[float, float], second: tuple[float, float], end: tuple[float, float]
    ) -> None:
        numbers = (*first, *second, *end)
        self.out.append(" ".join(f"{n:g}" for n in numbers) + " c")
        self.control = second
        self.x, self.y = end

    def _quadratic(self, corner: tuple[float, float], end: tuple[float, float]) -> None:
        first = (self.x + (corner[0] - self.x) * 2 / 3, self.y + (corner[1] - self.y) * 2 / 3)
        second = (end[0] + (corner[0] - end[0]) * 2 / 3, end[1] + (corner[1] - end[1]) * 2 / 3)
        self._curve(first, second, end)
        self.control = corner
