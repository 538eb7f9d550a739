"""What all of the sheet's own flowables share."""

from __future__ import annotations

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable


class Drawn(Flowable):  # type: ignore[misc] # reportlab has no types
    """A flowable that is drawn by hand: ``wrap`` sets its size, ``draw`` draws on ``canv``."""

    canv: Canvas
    width: float
    height: float

    def __init__(self) -> None:
        super().__init__()
        self.width = 0.0
        self.height = 0.0
