"""Small pictures of practice, drawn as SVG that any style sheet can colour.

Only presentation attributes and classes are used, because the pages forbid inline styles.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

_WIDTH, _HEIGHT = 320, 120
_LEFT, _RIGHT, _TOP, _BOTTOM = 34, 10, 12, 22


def curve_words(points: Sequence[tuple[date, int]], goal_bpm: int) -> str:
    """Return a tempo curve in words."""
    (first_day, first), (last_day, last) = points[0], points[-1]
    reached = "reached" if max(bpm for _, bpm in points) >= goal_bpm else "still ahead"
    if len(points) == 1:
        return f"Clean at {first} on {first_day:%-d %B}; the goal of {goal_bpm} is {reached}."
    return (
        f"From {first} on {first_day:%-d %B} to {last} on {last_day:%-d %B}, "
        f"{len(points)} days; the goal of {goal_bpm} is {reached}."
    )


def tempo_curve(points: Sequence[tuple[date, int]], goal_bpm: int) -> SafeString:
    """Draw clean tempo over days, with the goal as a dashed line.

    :param points: at least one (day, beats a minute), by day
    """
    low = min(goal_bpm, *(bpm for _, bpm in points)) - 6
    high = max(goal_bpm, *(bpm for _, bpm in points)) + 6
    span = max(1, (points[-1][0] - points[0][0]).days)

    def x(day: date) -> float:
        share = (day - points[0][0]).days / span if len(points) > 1 else 0.5
        return round(_LEFT + share * (_WIDTH - _LEFT - _RIGHT), 1)

    def y(bpm: int) -> float:
        share = (bpm - low) / (high - low)
        return round(_HEIGHT - _BOTTOM - share * (_HEIGHT - _TOP - _BOTTOM), 1)

    line = " ".join(f"{x(day)},{y(bpm)}" for day, bpm in points)
    dots = format_html_join(
        "", '<circle class="curve-dot" cx="{}" cy="{}" r="3.5"/>', ((x(d), y(b)) for d, b in points)
    )
    return format_html(
        '<svg class="curve" viewBox="0 0 {w} {h}" role="img" aria-label="{said}">'
        '<line class="curve-axis" x1="{left}" y1="{base}" x2="{right}" y2="{base}"/>'
        '<line class="curve-goal" x1="{left}" y1="{goal}" x2="{right}" y2="{goal}" '
        'stroke-dasharray="5 4"/>'
        '<text class="curve-word" x="{label}" y="{goal_word}" text-anchor="end">{goal_bpm}</text>'
        "{first_word}"
        '<polyline class="curve-line" points="{line}" fill="none"/>{dots}'
        '<text class="curve-word" x="{left}" y="{foot}">{first}</text>'
        '<text class="curve-word" x="{right}" y="{foot}" text-anchor="end">{last}</text></svg>',
        w=_WIDTH,
        h=_HEIGHT,
        said=curve_words(points, goal_bpm),
        left=_LEFT,
        right=_WIDTH - _RIGHT,
        base=_HEIGHT - _BOTTOM,
        goal=y(goal_bpm),
        goal_word=y(goal_bpm) + 4,
        label=_LEFT - 6,
        goal_bpm=goal_bpm,
        first_word=_tempo_word(points[0][1], y(points[0][1]), y(goal_bpm)),
        line=line,
        dots=dots,
        foot=_HEIGHT - 6,
        first=f"{points[0][0]:%-d %b}" if len(points) > 1 else "",
        last=f"{points[-1][0]:%-d %b}",
    )


def part_bar(points: float, most: float) -> SafeString:
    """Draw one part of a grade as a bar, as long as its share of the largest part."""
    length = round(100 * points / most, 1) if most > 0 else 0
    return format_html(
        '<svg class="part-bar" viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true">'
        '<rect class="part-bar-track" x="0" y="2.6" width="100" height="0.8"/>'
        '<rect class="part-bar-fill" x="0" y="0" width="{}" height="6"/></svg>',
        length,
    )


def _tempo_word(bpm: int, y: float, goal_y: float) -> SafeString:
    """Label the first tempo, unless it would sit on the goal's label."""
    if abs(y - goal_y) < 12:
        return SafeString("")
    return format_html(
        '<text class="curve-word" x="{}" y="{}" text-anchor="end">{}</text>',
        _LEFT - 6,
        y + 4,
        bpm,
    )
