"""Time things the same way everywhere."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Times:
    """Seconds of many runs."""

    median: float
    p95: float
    runs: int

    def milliseconds(self) -> str:
        """Median and 95th percentile as text."""
        return f"median {self.median * 1000:8.2f} ms   95% {self.p95 * 1000:8.2f} ms"


def timed(call: Callable[[], object], *, runs: int, warm_up: int = 1) -> Times:
    """Run the call many times and return its times; the first runs are not counted."""
    for _ in range(warm_up):
        call()
    seconds = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - start)
    seconds.sort()
    return Times(statistics.median(seconds), seconds[int(len(seconds) * 0.95) - 1], runs)


def heading(text: str) -> None:
    """Print a section's heading."""
    print(f"\n{text}\n{'-' * len(text)}")


def line(label: str, value: str) -> None:
    """Print one figure."""
    print(f"  {label:<46} {value}")
