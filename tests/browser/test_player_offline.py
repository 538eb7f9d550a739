"""What the player makes heard, measured in rendered samples."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from playwright.sync_api import Page

from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.surfaces import Surface
from tests.browser.figures import mixed, playback_of, stroke_times
from tests.browser.site import Site

RATE = 44100
LEAD_IN = Fraction(1, 10)
CLICKS = ["CLICK", "COUNT"]
BEAT = {
    "title": "",
    "meter": "1/4",
    "bars": 1,
    "bpm": 90,
    "ticks_per_beat": 840,
    "length_ticks": 840,
    "group_ticks": [840],
}
ACCENT = {"id": "f-RH-0", "tick": 0, "loudness": "accent", "ornament": "none"}

ONSETS = """async ([playback, settings, options]) => {
  const { renderOffline } = await import("/static/js/offline.js");
  const { samples } = await renderOffline(playback, settings, { ...options, impulse: true });
  const onsets = [];
  for (let i = 0; i < samples.length; i += 1) {
    if (Math.abs(samples[i]) > 1e-6 && !(Math.abs(samples[i - 1] ?? 0) > 1e-6)) onsets.push(i);
  }
  return onsets;
}"""
EVENTS = """async ([playback, settings, until]) => {
  const { Scheduler } = await import("/static/js/scheduler.js");
  const scheduler = new Scheduler(playback, settings);
  scheduler.start(0);
  return JSON.stringify([...scheduler.until(until)]);
}"""


@pytest.fixture(scope="module")
def blank(browser: Any, site: Site) -> Iterator[Page]:
    """A page on the site from which the modules can be loaded."""
    page = browser.new_page()
    page.goto(site.put("blank.html", "", scripts=()))
    yield page
    page.close()


def onsets(
    page: Page, playback: dict[str, Any], settings: dict[str, Any], **options: Any
) -> list[int]:
    return page.evaluate(ONSETS, [playback, settings, {"rate": RATE, **options}])  # type: ignore[no-any-return]


def distinct_samples(times: list[Fraction], rate: int = RATE) -> list[Fraction]:
    """The times that can be told apart in samples: pulses two samples long run together."""
    kept: list[Fraction] = []
    for time in times:
        if not kept or math.ceil(time * rate) - math.ceil(kept[-1] * rate) > 2:
            kept.append(time)
    return kept


def assert_on_time(found: list[int], times: list[Fraction], rate: int = RATE) -> None:
    expected = distinct_samples(times, rate)
    assert len(found) == len(expected)
    for sample, time in zip(found, expected, strict=True):
        # 1e-6 of a sample: the browser counts in binary, the expectation is exact.
        assert -1e-6 <= sample - float(time * rate) < 1 + 1e-6


class TestOnsets:
    @pytest.mark.parametrize("bpm", [60, 92, 137, 199.5])
    @pytest.mark.parametrize("meter", ["4/4", "7/8", "6/8"])
    def test_every_stroke_starts_on_its_sample(self, blank: Page, meter: str, bpm: float) -> None:
        figure = mixed(meter)
        settings = {"bpm": bpm, "rounds": 3, "countIn": False}

        found = onsets(blank, playback_of(figure, bpm), settings, closed=CLICKS)

        times = stroke_times(figure, bpm, rounds=3, limbs=set(LIMBS), lead_in=LEAD_IN)
        assert len(distinct_samples(times)) >= 3 * 12
        assert_on_time(found, times)

    def test_at_another_sample_rate(self, blank: Page) -> None:
        figure = mixed("4/4", 2)

        found = onsets(
            blank,
            playback_of(figure, 137),
            {"rounds": 2, "countIn": False},
            closed=CLICKS,
            rate=48000,
        )

        times = stroke_times(figure, 137, rounds=2, limbs=set(LIMBS), lead_in=LEAD_IN)
        assert_on_time(found, times, 48000)

    def test_the_count_in_is_one_bar_and_moves_the_strokes_by_it(self, blank: Page) -> None:
        figure = mixed("4/4")
        everything_else = ["CLICK", *LIMBS]
        settings = {"rounds": 1, "countIn": True}

        counted = onsets(blank, playback_of(figure, 92), settings, closed=everything_else)
        struck = onsets(blank, playback_of(figure, 92), settings, closed=CLICKS)

        beat = Fraction(60, 92)
        assert_on_time(counted, [LEAD_IN + beat * i for i in range(4)])
        lead_in = LEAD_IN + 4 * beat
        assert_on_time(
            struck, stroke_times(figure, 92, rounds=1, limbs=set(LIMBS), lead_in=lead_in)
        )

    def test_an_uneven_bar_is_counted_in_halves(self, blank: Page) -> None:
        settings = {"rounds": 1, "countIn": True}

        counted = onsets(blank, playback_of(mixed("7/8"), 92), settings, closed=["CLICK", *LIMBS])

        assert_on_time(counted, [LEAD_IN + Fraction(30, 92) * i for i in range(7)])

    @pytest.mark.parametrize("per_beat", [1, 2, 3, 4])
    def test_the_click_divides_the_beat(self, blank: Page, per_beat: int) -> None:
        settings = {"rounds": 2, "countIn": False, "clicksPerBeat": per_beat}

        found = onsets(blank, playback_of(mixed("6/8"), 60), settings, closed=["COUNT", *LIMBS])

        assert_on_time(found, [LEAD_IN + Fraction(i, per_beat) for i in range(4 * per_beat)])

    def test_a_loop_of_the_second_bar_is_exact(self, blank: Page) -> None:
        figure = mixed("7/8", 2)
        bar = int(figure.meter.bar_beats * 840)
        settings = {"rounds": 4, "countIn": False, "from": bar, "to": 2 * bar}

        found = onsets(blank, playback_of(figure, 137), settings, closed=CLICKS)

        beat = Fraction(60, 137)
        within = [stroke.onset - Fraction(7, 2) for stroke in figure.strokes if stroke.tick >= bar]
        times = sorted(
            {LEAD_IN + (Fraction(7, 2) * i + at) * beat for i in range(4) for at in within}
        )
        assert_on_time(found, times)

    def test_a_change_of_tempo_holds_from_the_horizon(self, blank: Page) -> None:
        figure = mixed("4/4")
        change = {"after": 2.0, "settings": {"bpm": 120}}
        settings = {"bpm": 60, "rounds": 1, "countIn": False}

        found = onsets(
            blank,
            playback_of(figure, 60),
            settings,
            closed=[*CLICKS, "LH", "RF", "LF"],
            changes=[change],
        )

        onset = [s.onset for s in figure.strokes if s.limb is Limb.RH]
        times = [LEAD_IN + (t if t <= 2 else 2 + (t - 2) / 2) for t in onset]
        assert_on_time(found, times)


class TestMutes:
    def test_a_muted_limb_is_absent(self, blank: Page) -> None:
        figure = mixed("4/4")
        settings = {"rounds": 2, "countIn": False}

        for muted in LIMBS:
            found = onsets(blank, playback_of(figure, 92), settings, closed=[*CLICKS, muted])
            heard = set(LIMBS) - {muted}
            times = stroke_times(figure, 92, rounds=2, limbs=heard, lead_in=LEAD_IN)
            assert_on_time(found, times)

    def test_all_muted_is_silence(self, blank: Page) -> None:
        settings = {"rounds": 1, "countIn": False}

        assert (
            onsets(blank, playback_of(mixed("4/4"), 92), settings, closed=[*CLICKS, *LIMBS]) == []
        )

    def test_with_and_without_a_limb_add_up_in_real_voices(self, blank: Page) -> None:
        residuals = blank.evaluate(
            """async ([playback]) => {
              const { renderOffline } = await import("/static/js/offline.js");
              const limbs = ["RH", "LH", "RF", "LF"];
              const settings = { rounds: 1, countIn: false };
              const render = async (open) => (await renderOffline(playback, settings, {
                closed: ["CLICK", "COUNT", ...limbs.filter((limb) => !open.includes(limb))],
              })).samples;
              const full = await render(limbs);
              const result = {};
              for (const limb of limbs) {
                const rest = await render(limbs.filter((other) => other !== limb));
                const only = await render([limb]);
                let worst = 0;
                let loudest = 0;
                for (let i = 0; i < full.length; i += 1) {
                  worst = Math.max(worst, Math.abs(full[i] - rest[i] - only[i]));
                  loudest = Math.max(loudest, Math.abs(only[i]));
                }
                result[limb] = [worst, loudest];
              }
              return result;
            }""",
            [playback_of(mixed("4/4"), 92)],
        )

        for limb in LIMBS:
            residual, loudest = residuals[limb]
            assert residual <= 1e-6
            assert loudest > 0.02


class TestVoices:
    def test_every_surface_has_a_voice_that_sounds_and_does_not_clip(self, blank: Page) -> None:
        peaks = blank.evaluate(
            """async ([surfaces, beat, accent]) => {
              const { renderOffline } = await import("/static/js/offline.js");
              const peaks = {};
              for (const surface of surfaces) {
                const playback = { ...beat, strokes: [{ ...accent, limb: "RH", surface }] };
                const settings = { rounds: 1, countIn: false };
                const { samples } = await renderOffline(playback, settings, { closed: ["CLICK"] });
                let peak = 0;
                let energy = 0;
                for (const sample of samples) {
                  peak = Math.max(peak, Math.abs(sample));
                  energy += sample * sample;
                }
                peaks[surface] = [peak, Math.sqrt(energy / samples.length)];
              }
              return peaks;
            }""",
            [[str(surface) for surface in Surface], BEAT, ACCENT],
        )

        assert set(peaks) == {str(surface) for surface in Surface}
        for surface, (peak, mean) in peaks.items():
            assert 0.1 <= peak <= 1.0, surface
            assert mean > 1e-3, surface

    def test_voices_differ_from_each_other(self, blank: Page) -> None:
        count = blank.evaluate(
            """async () => {
              const { VOICE_NAMES, samplesOf } = await import("/static/js/voices.js");
              const head = (name) => [...samplesOf(name, 44100).slice(50, 90)].join();
              return VOICE_NAMES.length - new Set(VOICE_NAMES.map(head)).size;
            }"""
        )

        assert count == 0

    def test_four_accents_at_once_stay_below_full_scale(self, blank: Page) -> None:
        together = [
            ("RH", "crash"),
            ("LH", "rim_shot"),
            ("RF", "bass_drum"),
            ("LF", "bass_drum"),
        ]

        peak = blank.evaluate(
            """async ([beat, strokes]) => {
              const { renderOffline } = await import("/static/js/offline.js");
              const playback = { ...beat, strokes };
              const { samples } = await renderOffline(playback, { rounds: 1, countIn: false });
              return samples.reduce((peak, sample) => Math.max(peak, Math.abs(sample)), 0);
            }""",
            [BEAT, [{**ACCENT, "limb": limb, "surface": surface} for limb, surface in together]],
        )

        assert 0.5 < peak <= 1.0


class TestSchedule:
    def test_no_drift_over_five_minutes(self, blank: Page) -> None:
        figure = mixed("7/8")
        playback = playback_of(figure, 199.5)

        settings = {"countIn": False, "rounds": None}
        events = json.loads(blank.evaluate(EVENTS, [playback, settings, 305]))

        struck = [event for event in events if event["kind"] == "stroke"]
        beat = Fraction(600, 1995)
        onset = {f"f-{s.limb}-{s.tick}": s.onset for s in figure.strokes}
        last = 0.0
        for event in struck:
            exact = (figure.length_beats * event["round"] + onset[event["id"]]) * beat
            assert abs(event["time"] - float(exact)) < 1e-9
            last = event["time"]
        assert last > 300

    def test_the_same_events_in_small_sips_as_in_one_draught(self, blank: Page) -> None:
        playback = playback_of(mixed("6/8", 2), 137)

        sips, draught = blank.evaluate(
            """async ([playback]) => {
              const { Scheduler } = await import("/static/js/scheduler.js");
              const one = new Scheduler(playback, { rounds: 5 });
              const two = new Scheduler(playback, { rounds: 5 });
              one.start(1);
              two.start(1);
              const sips = [];
              for (let time = 1; !one.ended; time += 0.0137) sips.push(...one.until(time));
              return [sips, [...two.until(Infinity)]];
            }""",
            [playback],
        )

        assert sips == draught
        assert draught[-1]["kind"] == "end"

    def test_many_changes_of_tempo_neither_lose_nor_double_a_stroke(self, blank: Page) -> None:
        figure = mixed("4/4")

        ids = blank.evaluate(
            """async ([playback]) => {
              const { Scheduler } = await import("/static/js/scheduler.js");
              const scheduler = new Scheduler(playback, { rounds: 20 });
              scheduler.start(0);
              const ids = [];
              let before = -1;
              for (let step = 1; !scheduler.ended; step += 1) {
                for (const event of scheduler.until(step * 0.05)) {
                  if (event.kind !== "stroke") continue;
                  if (event.time < before) throw new Error("out of order");
                  before = event.time;
                  ids.push(`${event.round} ${event.id}`);
                }
                scheduler.change({ bpm: 30 + ((step * 47) % 231), clicksPerBeat: 1 + (step % 4) });
              }
              return ids;
            }""",
            [playback_of(figure, 92)],
        )

        strokes = [f"f-{s.limb}-{s.tick}" for s in figure.strokes]
        assert sorted(ids) == sorted(f"{turn} {stroke}" for turn in range(20) for stroke in strokes)

    def test_figures_in_a_row_follow_each_other_without_a_gap(self, blank: Page) -> None:
        first, second = mixed("4/4"), mixed("4/4").replacing({Limb.LH: ()})
        row = [playback_of(first, 97), playback_of(second, 97)]

        events = json.loads(
            blank.evaluate(
                EVENTS, [row[0], {"countIn": False, "row": row, "roundsEach": 2, "rounds": 4}, 1e9]
            )
        )

        strokes = [event for event in events if event["kind"] == "stroke"]
        beat = Fraction(60, 97)
        expected = [
            (turn * first.length_beats + stroke.onset) * beat
            for turn in range(4)
            for stroke in (first if turn < 2 else second).strokes
        ]
        assert [event["time"] for event in strokes] == pytest.approx(
            [float(time) for time in sorted(expected)], abs=1e-9
        )
        assert events[-1]["kind"] == "end"
        assert events[-1]["time"] == pytest.approx(float(4 * first.length_beats * beat))

    def test_swing_moves_the_off_beat_only(self, blank: Page) -> None:
        moved = blank.evaluate(
            """async () => {
              const { swung } = await import("/static/js/rounds.js");
              return [0, 420, 840, 1260, 210].map((tick) => swung(tick, 840, 2 / 3));
            }"""
        )

        assert moved == pytest.approx([0, 560, 840, 1400, 280])
