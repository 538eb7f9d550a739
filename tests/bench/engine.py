"""Figures derived, checked, graded and freed of duplicates, beside the same on music21 streams."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

from exercises.rhythm.branches import branches
from exercises.rhythm.grade import grade
from exercises.rhythm.kit import FIVE_PIECE
from exercises.rhythm.library import CORES
from exercises.rhythm.playability import refusal
from tests.bench.streams import measures_of, score_of
from tests.bench.timing import heading, line, timed

ROUNDS = 5


def run() -> None:
    """Measure the engine."""
    heading("The rhythm engine (one core)")
    cores = [entry for entry in CORES if entry.kit is FIVE_PIECE]
    rates, graded_rates = [], []
    figures = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        found = [branches(core.figure, FIVE_PIECE, bpm=core.bpm, depth=2) for core in cores[:4]]
        seconds = time.perf_counter() - start
        rates.append(sum(result.considered for result in found) / seconds)
        figures = [variant.figure for result in found for variant in result.variants]
        start = time.perf_counter()
        for figure in figures:
            grade(figure, 90, FIVE_PIECE)
            refusal(figure, FIVE_PIECE)
        graded_rates.append(len(figures) / (time.perf_counter() - start))
    sample = figures[:: max(1, len(figures) // 150)]
    start = time.perf_counter()
    seen = {str(measures_of(score_of(figure))) for figure in sample}
    stream_rate = len(sample) / (time.perf_counter() - start)
    derived, graded = statistics.median(rates), statistics.median(graded_rates)
    line("derived, checked, graded, duplicates removed", f"{derived:10,.0f} variants a second")
    line("graded and checked alone, with all parts", f"{graded:10,.0f} figures a second")
    line(
        "baseline: measured on music21 streams",
        f"{stream_rate:10,.0f} figures a second ({len(seen)} different)",
    )
    line("ratio", f"{derived / stream_rate:10,.0f} x and {graded / stream_rate:,.0f} x")

    two_bars = next(core for core in cores if core.figure.bars == 2)
    deep = timed(lambda: branches(two_bars.figure, FIVE_PIECE, bpm=two_bars.bpm, depth=3), runs=5)
    count = len(branches(two_bars.figure, FIVE_PIECE, bpm=two_bars.bpm, depth=3).variants)
    line(f"depth 3 of a two-bar core, {count:,} ranked", deep.milliseconds())

    firsts = [_first_time(two_bars.slug) for _ in range(ROUNDS)]
    line("the same for the first time in a process", f"median {statistics.median(firsts):8.0f} ms")

    code = (
        "import sys, exercises.rhythm.branches, exercises.rhythm.ladder, exercises.rhythm.library;"
        "print(sum(name in sys.modules for name in ('music21', 'verovio', 'django', 'lxml')))"
    )
    heavy = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.strip()
    line("heavy libraries the engine imports", heavy)


def _first_time(slug: str) -> float:
    """Milliseconds of the first search in a fresh process, nothing remembered, imports aside."""
    code = (
        "import time; from exercises.rhythm.branches import branches;"
        "from exercises.rhythm.library import BY_SLUG;"
        f"core = BY_SLUG[{slug!r}]; start = time.perf_counter();"
        "branches(core.figure, core.kit, bpm=core.bpm, depth=3);"
        "print((time.perf_counter() - start) * 1000)"
    )
    answer = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    return float(answer.stdout)
