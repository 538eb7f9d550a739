"""What the rhythm engine raises. Every message is a sentence a teacher can read."""

from __future__ import annotations


class RhythmError(ValueError):
    """The root of everything that the engine raises about its input."""


class BadMeter(RhythmError):
    """The meter is not one a drummer could be asked to count."""


class BadFigure(RhythmError):
    """The strokes do not make a figure: outside the bars, two at once in one limb, or too many."""


class BadTypedFigure(RhythmError):
    """A typed figure cannot be read; ``line`` and ``column`` (from 1) say where.

    A column of 0 means the line as a whole.
    """

    def __init__(self, message: str, *, line: int, column: int = 0) -> None:
        super().__init__(message)
        self.line = line
        self.column = column


class Refused(RhythmError):
    """A move, or a check, says no; ``str()`` of it is the reason in words."""
