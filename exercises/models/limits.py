"""The numbers that forms, services and the database agree on."""

from __future__ import annotations

LEAST_BPM, MOST_BPM = 20, 400
LEAST_MINUTES, MOST_MINUTES = 1, 600
MOST_MINUTES_A_DAY_ASKED = 180
