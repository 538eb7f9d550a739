"""The typed form and the words for places are the same in the browser and on the server."""

from __future__ import annotations

import json
from collections.abc import Iterator
from fractions import Fraction
from random import Random
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from exercises.notation.playback import playback
from exercises.rhythm.counting import place_words, syllable
from exercises.rhythm.errors import BadTypedFigure
from exercises.rhythm.figure import TICKS_PER_BEAT, Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import LIMBS, Limb
from exercises.rhythm.meter import Meter
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed, write_typed
from exercises.rhythm.typed_words import STEPS, USUAL_SURFACE, read_surface, surface_word
from tests.browser.site import Site

METERS = (
    "4/4",
    "3/4",
    "2/4",
    "5/4",
    "6/8",
    "9/8",
    "12/8",
    "7/8",
    "5/8",
    "11/8",
    "2/2",
    "7/16",
    "3/8",
)
TITLES = ("", "Harbour walk", "Żółty  krok", "Ποτάμι", "Lá breá: a day | x.x.", "  spaced   out ")
PLAIN = """(figure) => ({
  meter: String(figure.meter), bars: figure.bars, title: figure.title,
  strokes: figure.strokes.map((s) => [s.tick, s.limb, s.surface, s.loudness, s.ornament]),
})"""
READ_ALL = f"""async (texts) => {{
  const {{ readTyped }} = await import("/static/js/typed.js");
  const {{ writeTyped }} = await import("/static/js/typed_writing.js");
  const plain = {PLAIN};
  return JSON.stringify(texts.map((text) => {{
    try {{
      const figure = readTyped(text);
      return {{ figure: plain(figure), written: writeTyped(figure) }};
    }} catch (bad) {{
      return {{ line: bad.line, column: bad.column, message: bad.message }};
    }}
  }}));
}}"""
VALID_LINES = (
    "4/4 Title",
    "",
    "RH hi-hat: x.x. x.x. x.x. x.x.",
    "LH snare:  .... X..g .... F.d.",
    "RF: x . x xx",
)


@pytest.fixture(scope="module")
def blank(browser: Browser, site: Site) -> Iterator[Page]:
    """A page on the site from which the modules can be loaded."""
    page = browser.new_page()
    page.goto(site.put("typed.html", "", scripts=()))
    yield page
    page.close()


def generated(seed: int) -> Figure:
    """A figure of random meter, bars, subdivisions and strokes: the same for the same seed."""
    random = Random(seed)
    meter = Meter.parse(random.choice(METERS))
    bars = random.randint(1, 8) if seed % 5 == 0 else random.randint(1, 2)
    strokes = []
    for limb in LIMBS:
        surfaces = random.sample(list(Surface), random.randint(1, 3))
        density = random.choice((0.0, 0.2, 0.6))
        onset = Fraction(0)
        for length in meter.groups * bars:
            steps = random.choice(
                [n for n in (1, 2, 3, 4, 5, 6, 7, 8, 12) if int(length * 840) % n == 0]
            )
            for place in range(steps):
                if random.random() < density:
                    strokes.append(
                        Stroke(
                            onset + length * place / steps,
                            limb,
                            random.choice(surfaces),
                            random.choice(list(Loudness)),
                            random.choice([Ornament.NONE, *Ornament]),
                        )
                    )
            onset += length
    return Figure.of(meter, bars, strokes, title=random.choice(TITLES))


def plain(figure: Figure) -> dict[str, Any]:
    return {
        "meter": str(figure.meter),
        "bars": figure.bars,
        "title": figure.title,
        "strokes": [
            [s.tick, str(s.limb), str(s.surface), str(s.loudness), str(s.ornament)]
            for s in figure.strokes
        ],
    }


def outcome(text: str) -> dict[str, Any]:
    """What the server's reader makes of a text: the figure, or where it fails."""
    try:
        return {"figure": plain(read_typed(text))}
    except BadTypedFigure as bad:
        return {"line": bad.line, "column": bad.column}


def spoilt(seed: int) -> str:
    """A typed figure with a few characters changed, most often no longer one."""
    random = Random(seed)
    text = "\n".join(VALID_LINES) if seed % 2 else write_typed(generated(seed))
    for _ in range(random.randint(1, 3)):
        at = random.randrange(len(text))
        new = random.choice(
            ["", "x", "|", ":", " ", "q", "\n", "RH", "4/4", "xxxxx", "\t", "ß", "\r\n"]
        )
        text = text[:at] + new + text[at + random.randint(0, 3) :]
    return text


class TestReadingAndWriting:
    def test_generated_figures_are_written_alike_and_read_alike(self, blank: Page) -> None:
        figures = [generated(seed) for seed in range(300)]
        texts = [write_typed(figure) for figure in figures]

        answers = json.loads(blank.evaluate(READ_ALL, texts))

        for text, answer in zip(texts, answers, strict=True):
            assert answer["figure"] == plain(read_typed(text))
            assert answer["written"] == text

    def test_spoilt_texts_fail_at_the_same_place(self, blank: Page) -> None:
        texts = [spoilt(seed) for seed in range(400)]

        answers = json.loads(blank.evaluate(READ_ALL, texts))

        outcomes = [outcome(text) for text in texts]
        for text, answer, expected in zip(texts, answers, outcomes, strict=True):
            assert {key: answer.get(key) for key in expected} == expected, text
        failed = sum("line" in expected for expected in outcomes)
        assert 100 < failed < 400

    @pytest.mark.parametrize(
        "text",
        [
            "",
            "\n\n",
            "4/4",
            "x" * 20_001,
            "33/4\nRH: x",
            "4/3\nRH: x",
            "4/4 " + "t" * 201 + "\nRH: x x x x",
            "4/4\n" + "RH: x x x x\n\n" * 9,
            "4/4\nRH: x x x x\nRH ride: x . . .",
            "4/4\nRH: x x x x\nRH hi-hat: x . . .",
            "4/4\nRH drumhead: x x x x",
            "4/4\nLH snare: xx high-tom: xx . ride:x.",
            "4/4\nRH: xxxxxxxxx x x x",
            "7/8\nRH: xx xx xxx | xx xx x-x",
            "4/4\nRH: x x x | x",
        ],
    )
    def test_chosen_texts(self, blank: Page, text: str) -> None:
        (answer,) = json.loads(blank.evaluate(READ_ALL, [text]))

        expected = outcome(text)
        assert {key: answer.get(key) for key in expected} == expected


class TestVocabulary:
    def test_surfaces_have_the_same_names(self, blank: Page) -> None:
        facts, usual, steps = blank.evaluate(
            """async () => {
              const { SURFACES, USUAL_SURFACE } = await import("/static/js/surfaces.js");
              const { STEPS } = await import("/static/js/typed.js");
              return [SURFACES, USUAL_SURFACE, STEPS];
            }"""
        )

        assert {name: (fact["spoken"], fact["byFoot"]) for name, fact in facts.items()} == {
            str(surface): (surface.spoken, surface.by_foot) for surface in Surface
        }
        assert usual == {str(limb): str(surface) for limb, surface in USUAL_SURFACE.items()}
        assert {letter: tuple(way) for letter, way in steps.items()} == {
            letter: (str(loudness), str(ornament)) for letter, (loudness, ornament) in STEPS.items()
        }

    def test_surface_words_are_read_alike(self, blank: Page) -> None:
        words = [surface.spoken.upper() for surface in Surface]
        words += [surface_word(surface) for surface in Surface]
        words += ["hat", "open hat", "Bell", "FOOT", "bass", "gong", "", "hi--hat"]

        read = blank.evaluate(
            """async (words) => {
              const { readSurface } = await import("/static/js/surfaces.js");
              return words.map((each) => readSurface(each) ?? null);
            }""",
            words,
        )

        assert read == [read_surface(each) for each in words]

    @pytest.mark.parametrize("signature", METERS)
    def test_meters_and_counting_agree(self, blank: Page, signature: str) -> None:
        meter = Meter.parse(signature)
        ticks = [t for t in range(0, int(2 * meter.bar_beats * 840), 35) if t % 35 == 0]

        groups, said, places = blank.evaluate(
            """async ([signature, ticks]) => {
              const { Meter, placeWords, syllable } = await import("/static/js/figure.js");
              const meter = Meter.parse(signature);
              return [meter.groupTicks, ticks.map((tick) => syllable(meter, tick)),
                ticks.map((tick) => placeWords(meter, tick, 2))];
            }""",
            [signature, ticks],
        )

        onsets = [Fraction(tick, TICKS_PER_BEAT) for tick in ticks]
        assert groups == [int(group * 840) for group in meter.groups]
        assert said == [syllable(meter, onset) for onset in onsets]
        assert places == [place_words(meter, onset, bars=2).replace("&", "and") for onset in onsets]

    def test_the_editor_plays_what_the_server_would(self, blank: Page) -> None:
        figures = [generated(seed) for seed in range(40)]

        made = blank.evaluate(
            """async (texts) => {
              const { readTyped } = await import("/static/js/typed.js");
              const { playbackOf } = await import("/static/js/editor_playback.js");
              return texts.map((text) => playbackOf(readTyped(text), 92));
            }""",
            [write_typed(figure) for figure in figures],
        )

        for figure, given in zip(figures, made, strict=True):
            again = read_typed(write_typed(figure))
            expected = playback(again, bpm=92, prefix="draft")
            assert json.dumps(given, sort_keys=True) == json.dumps(expected, sort_keys=True)


def test_every_limb_has_the_same_words(blank: Page) -> None:
    words = blank.evaluate("async () => (await import('/static/js/figure.js')).LIMB_WORDS")

    assert words == {str(limb): limb.spoken for limb in Limb}
