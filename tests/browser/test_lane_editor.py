"""The lane editor: a bar built by mouse and by keyboard, and read by the server's own reader."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from axe_playwright_python.sync_playwright import Axe
from django import forms
from playwright.sync_api import Locator, Page, expect

from exercises.rhythm.figure import Figure, Loudness, Ornament, Stroke
from exercises.rhythm.limbs import Limb
from exercises.rhythm.surfaces import Surface
from exercises.rhythm.typed import read_typed
from tests.browser.site import Site, template

GROOVE = """4/4 Harbour walk

RH ride:      x.x. x.x. x.x. x.x.
LH snare:     .... X... .... X..g
RF bass-drum: x... .... x.x. ....
"""


class TypedForm(forms.Form):
    """A form with the one field that the editor stands over."""

    typed = forms.CharField(
        label="Typed form",
        required=False,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="A line for each limb.",
    )


def open_editor(page: Page, site: Site, typed: str = "", name: str = "editor.html") -> Page:
    """A page with the editor over this text, in a form with a preview that listens."""
    field = TypedForm(initial={"typed": typed})["typed"]
    body = template("exercises/_lane_editor.html", field=field, bpm=120)
    page.goto(site.put(name, f"<form>{body}</form>", scripts=("lane_editor.js",)))
    expect(page.get_by_role("grid", name="Limb lanes")).to_be_visible()
    return page


def text_of(page: Page) -> str:
    return page.get_by_label("Typed form").input_value()


def cell(page: Page, name: str) -> Locator:
    return page.get_by_role("gridcell", name=name, exact=True)


class TestByMouse:
    def test_a_bar_is_built_press_by_press(self, page: Page, site: Site) -> None:
        open_editor(page, site)

        for place in ("beat 1", "beat 2", "beat 3", "beat 4"):
            cell(page, f"right hand, {place}, rest").click()
            cell(page, f"right hand, {place} and, rest").click()
        for place in ("beat 2", "beat 4"):
            cell(page, f"left hand, {place}, rest").click()
            cell(page, f"left hand, {place}, snare").click()
        cell(page, "left hand, beat 2 a, rest").click()
        cell(page, "left hand, beat 2 a, snare").click()
        cell(page, "left hand, beat 2 a, snare, accent").click()
        cell(page, "right foot, beat 1, rest").click()
        cell(page, "left foot, beat 2, rest").click()

        assert text_of(page) == (
            "4/4\n\n"
            "RH hi-hat:      x.x. x.x. x.x. x.x.\n"
            "LH snare:       .... X..g .... X...\n"
            "RF bass-drum:   x... .... .... ....\n"
            "LF hi-hat-foot: .... x... .... ....\n"
        )
        hits = [Stroke(Fraction(i, 2), Limb.RH, Surface.HI_HAT) for i in range(8)]
        hits += [
            Stroke(Fraction(1), Limb.LH, Surface.SNARE, Loudness.ACCENT),
            Stroke(Fraction(7, 4), Limb.LH, Surface.SNARE, Loudness.GHOST),
            Stroke(Fraction(3), Limb.LH, Surface.SNARE, Loudness.ACCENT),
            Stroke(Fraction(0), Limb.RF, Surface.BASS_DRUM),
            Stroke(Fraction(1), Limb.LF, Surface.HI_HAT_FOOT),
        ]
        assert read_typed(text_of(page)) == Figure.of("4/4", 1, hits)

    def test_four_presses_come_back_to_rest(self, page: Page, site: Site) -> None:
        open_editor(page, site)
        cell(page, "right hand, beat 3, rest").click()
        cell(page, "right hand, beat 3, hi-hat").click()
        cell(page, "right hand, beat 3, hi-hat, accent").click()
        cell(page, "right hand, beat 3, hi-hat, ghost").click()

        expect(cell(page, "right hand, beat 3, rest")).to_be_visible()
        assert len(read_typed(text_of(page))) == 0

    def test_the_panel_changes_the_step_at_hand(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        cell(page, "right foot, beat 3 and, bass drum").click()
        page.get_by_label("Stroke").select_option("soft")
        cell(page, "right hand, beat 4, ride").click()
        page.get_by_label("Led in by").select_option("drag")
        page.get_by_label("On", exact=True).select_option("crash")

        by_place = {(s.limb, s.onset): s for s in read_typed(text_of(page)).strokes}
        assert by_place[Limb.RF, Fraction(5, 2)].loudness is Loudness.SOFT
        crash = by_place[Limb.RH, Fraction(3)]
        assert (crash.surface, crash.loudness, crash.ornament) == (
            Surface.CRASH,
            Loudness.ACCENT,
            Ornament.DRAG,
        )
        assert by_place[Limb.RH, Fraction(5, 2)].surface is Surface.RIDE
        expect(cell(page, "right hand, beat 4, crash, accent, drag")).to_have_text("crash")

    def test_a_lane_changes_its_surface(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)

        page.get_by_label("RH right hand plays").select_option("hi_hat_open")

        surfaces = {stroke.surface for stroke in read_typed(text_of(page)).line(Limb.RH)}
        assert surfaces == {Surface.HI_HAT_OPEN}

    def test_a_cleared_lane_comes_back(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        page.get_by_role("button", name="Clear the left hand's lane").click()
        assert read_typed(text_of(page)).line(Limb.LH) == ()
        expect(page.get_by_role("button", name="Clear the left hand's lane")).to_be_disabled()

        page.get_by_role("button", name="Undo").click()
        assert read_typed(text_of(page)) == read_typed(GROOVE)

        page.get_by_role("button", name="Redo").click()
        assert read_typed(text_of(page)).line(Limb.LH) == ()


class TestByKeyboard:
    def test_a_bar_is_built_without_a_mouse(self, page: Page, site: Site) -> None:
        open_editor(page, site)
        cell(page, "right hand, beat 1, rest").focus()
        press = page.keyboard.press

        for letter in "x.x.X.x.s.g.f.D.":
            press(letter)
        press("Control+Home")
        press("ArrowDown")
        press("End")
        press("ArrowLeft")
        press(" ")
        press("Enter")
        press("ArrowDown")
        press("Home")
        press("F")
        press("Delete")
        press("Control+End")
        press("Space")

        figure = read_typed(text_of(page))
        assert [(s.onset, s.loudness, s.ornament) for s in figure.line(Limb.RH)] == [
            (Fraction(0), Loudness.NORMAL, Ornament.NONE),
            (Fraction(1, 2), Loudness.NORMAL, Ornament.NONE),
            (Fraction(1), Loudness.ACCENT, Ornament.NONE),
            (Fraction(3, 2), Loudness.NORMAL, Ornament.NONE),
            (Fraction(2), Loudness.SOFT, Ornament.NONE),
            (Fraction(5, 2), Loudness.GHOST, Ornament.NONE),
            (Fraction(3), Loudness.NORMAL, Ornament.FLAM),
            (Fraction(7, 2), Loudness.ACCENT, Ornament.DRAG),
        ]
        assert [(s.onset, s.loudness) for s in figure.line(Limb.LH)] == [
            (Fraction(7, 2), Loudness.ACCENT)
        ]
        assert [s.onset for s in figure.line(Limb.RF)] == [Fraction(0)]
        assert [s.onset for s in figure.line(Limb.LF)] == [Fraction(15, 4)]

    def test_the_grid_is_one_stop_of_the_tab_key(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        page.get_by_role("button", name="Clear the left hand's lane").focus()
        assert page.locator("[role=gridcell][tabindex='0']").count() == 1
        cell(page, "right hand, beat 1, ride").focus()
        page.keyboard.press("ArrowRight")
        page.keyboard.press("Tab")

        assert page.evaluate("() => document.activeElement.dataset.part") == "loudness"
        page.keyboard.press("Shift+Tab")
        expect(cell(page, "right hand, beat 1 e, rest")).to_be_focused()

    def test_control_z_and_y(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        cell(page, "left hand, beat 1, rest").focus()
        page.keyboard.press("x")
        page.keyboard.press("x")
        both = text_of(page)

        page.keyboard.press("Control+z")
        page.keyboard.press("Control+z")
        assert read_typed(text_of(page)) == read_typed(GROOVE)
        page.keyboard.press("Control+y")
        page.keyboard.press("Control+Shift+z")

        assert text_of(page) == both

    def test_what_happened_is_told(self, page: Page, site: Site) -> None:
        open_editor(page, site)
        cell(page, "left hand, beat 2 and, rest").focus()

        page.keyboard.press("F")

        expect(page.locator("[data-part=live]")).to_have_text(
            "left hand, beat 2 and, snare, accent, flam."
        )


class TestShape:
    def test_triplets_in_one_beat(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        cell(page, "left hand, beat 1, rest").focus()
        page.get_by_label("Steps in this beat").select_option("3")
        cell(page, "left hand, beat 1 trip, rest").click()
        cell(page, "left hand, beat 1 let, rest").click()

        onsets = [s.onset for s in read_typed(text_of(page)).line(Limb.LH)][:2]
        assert onsets == [Fraction(1, 3), Fraction(2, 3)]
        assert page.get_by_role("gridcell").count() == 4 * 15
        # The ride's eighth on the & of 1 has no place among thirds.
        assert Fraction(1, 2) not in [s.onset for s in read_typed(text_of(page)).line(Limb.RH)]
        page.get_by_label("Steps in every beat").select_option("6")
        assert page.get_by_role("gridcell").count() == 4 * 24

    def test_taking_strokes_out_is_told_and_undone(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)

        page.get_by_label("Steps in every beat").select_option("1")

        expect(page.locator("[data-part=live]")).to_contain_text("6 strokes did not fit")
        page.get_by_role("button", name="Undo").click()
        assert read_typed(text_of(page)) == read_typed(GROOVE)

    def test_meter_and_bars(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        page.get_by_label("Bars").select_option("2")
        page.get_by_label("Meter").select_option("7/8")

        figure = read_typed(text_of(page))
        assert (str(figure.meter), figure.bars, figure.title) == ("7/8", 2, "Harbour walk")
        assert [s.onset for s in figure.line(Limb.RH)] == [Fraction(i, 2) for i in range(7)]
        cell(page, "left hand, bar 2, count 7, rest").click()
        assert read_typed(text_of(page)).line(Limb.LH)[-1].onset == Fraction(13, 2)

    def test_eighths_stay_eighths_from_simple_to_compound(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)

        page.get_by_label("Meter").select_option("6/8")

        figure = read_typed(text_of(page))
        assert [s.onset for s in figure.line(Limb.RH)] == [Fraction(i, 3) for i in range(6)]


class TestTheField:
    def test_what_is_typed_is_shown(self, page: Page, site: Site) -> None:
        open_editor(page, site)

        page.get_by_label("Typed form").fill(GROOVE)

        expect(cell(page, "left hand, beat 2, snare, accent")).to_be_visible()
        expect(cell(page, "left hand, beat 4 a, snare, ghost")).to_be_visible()

    def test_a_mistake_is_named_and_the_lanes_stay(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)

        page.get_by_label("Typed form").fill(GROOVE.replace("X...", "X..k"))

        expect(page.get_by_text("cannot be read yet: line 4, column 23")).to_be_visible()
        expect(cell(page, "left hand, beat 2, snare, accent")).to_be_visible()
        page.get_by_label("Typed form").fill(GROOVE)
        expect(page.get_by_text("cannot be read yet")).to_be_hidden()

    def test_half_typed_text_is_not_written_over(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        half = GROOVE + "LF hi-hat-foot: . x"
        page.get_by_label("Typed form").fill(half)

        cell(page, "left hand, beat 1, rest").click(force=True)

        assert text_of(page) == half
        page.get_by_role("button", name="Undo").click()
        assert read_typed(text_of(page)) == read_typed(GROOVE)
        expect(page.get_by_text("cannot be read yet")).to_be_hidden()

    def test_text_that_came_unreadable_is_kept(self, page: Page, site: Site) -> None:
        open_editor(page, site, "4/4 nothing yet")

        cell(page, "left hand, beat 1, rest").click(force=True)

        assert text_of(page) == "4/4 nothing yet"
        expect(page.get_by_role("button", name="Undo")).to_be_disabled()

    def test_each_change_is_told_to_the_page(self, page: Page, site: Site) -> None:
        open_editor(page, site, GROOVE)
        page.evaluate(
            "() => { window.told = []; document.querySelector('form').addEventListener("
            "'figure-changed', (event) => window.told.push(event.detail)); }"
        )
        cell(page, "left hand, beat 1, rest").click()
        page.get_by_label("Typed form").fill("4/4 nonsense")

        first, second = page.evaluate("() => window.told")
        assert first["isReadable"]
        assert read_typed(first["typed"]).line(Limb.LH)[0].onset == 0
        assert not second["isReadable"]

    def test_an_untouched_figure_keeps_its_text(self, page: Page, site: Site) -> None:
        odd = "4/4   Kept as typed\nRH: x x x x\n"
        open_editor(page, site, odd)

        assert text_of(page) == odd

    def test_the_editor_plays_what_is_not_saved(self, page: Page, site: Site) -> None:
        open_editor(page, site)
        cell(page, "right foot, beat 1, rest").click()
        page.get_by_role("button", name="Hear the figure as it stands").click()
        expect(page.locator(".sounding")).to_have_attribute("data-stroke", "draft-RF-0")

        cell(page, "left hand, beat 3, rest").click()

        page.wait_for_function(
            "() => document.querySelector('.sounding')?.dataset.stroke === 'draft-LH-1680'"
        )


class TestAccess:
    @pytest.mark.parametrize("scheme", ["light", "dark"])
    @pytest.mark.parametrize("width", [390, 1280])
    def test_axe_finds_nothing(
        self, new_page: Callable[..., Page], site: Site, scheme: str, width: int
    ) -> None:
        page = new_page(color_scheme=scheme, viewport={"width": width, "height": 860})
        open_editor(page, site, GROOVE)
        page.get_by_text("Keys for the lanes").click()

        found = Axe().run(page).response["violations"]

        assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in found] == []

    @pytest.mark.parametrize("steps", ["3", "4", "6", "8"])
    def test_targets_are_large_and_nothing_is_wider_than_the_screen(
        self, page: Page, site: Site, steps: str
    ) -> None:
        open_editor(page, site, GROOVE)
        page.get_by_label("Steps in every beat").select_option(steps)

        for width in (768, 390, 320):
            page.set_viewport_size({"width": width, "height": 844})
            page.wait_for_timeout(100)
            boxes = page.evaluate(
                "() => [...document.querySelectorAll('[role=gridcell], .lanes-editor select, "
                ".lanes-editor button')].filter((each) => each.offsetParent !== null)"
                ".map((each) => each.getBoundingClientRect()).map((box) => [box.width, box.height])"
            )
            assert len(boxes) > 4 * 4 * int(steps)
            assert min(min(box) for box in boxes) >= 44
            assert page.evaluate("() => document.documentElement.scrollWidth") <= width

    def test_without_scripts_the_field_alone_is_there(
        self, new_page: Callable[..., Page], site: Site
    ) -> None:
        page = new_page(java_script_enabled=False)
        field = TypedForm(initial={"typed": GROOVE})["typed"]
        body = template("exercises/_lane_editor.html", field=field)
        page.goto(site.put("plain.html", f"<form>{body}</form>", scripts=("lane_editor.js",)))

        expect(page.get_by_label("Typed form")).to_be_visible()
        expect(page.get_by_label("Meter")).to_be_hidden()
