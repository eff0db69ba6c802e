"""The hand of the pages: contrast one can read, nothing from elsewhere, and text that is never markup."""

import re
from itertools import product
from pathlib import Path
from typing import Any

import pytest

import stillroom.web
from stillroom.documents.blocks import Link, Mark, Shown, ShownLeaf, Table
from stillroom.web.jinja_environment import environment

WEB = Path(stillroom.web.__path__[0])
STYLE = (WEB / "static" / "style.css").read_text(encoding="utf-8")
WORDS = ("ink", "faded-ink", "brown-glass", "leaf", "water", "copper")


def tokens(theme: str) -> dict[str, str]:
    start = STYLE.index(":root {") if theme == "light" else STYLE.index(f':root[data-theme="{theme}"]')
    return dict(re.findall(r"--([a-z-]+): (#[0-9A-Fa-f]{6})", STYLE[start : STYLE.index("}", start)]))


def luminance(colour: str) -> float:
    """Relative luminance.

    From WCAG 2.2, "relative luminance" (https://www.w3.org/TR/WCAG22/#dfn-relative-luminance); from-memory.
    """
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_has_the_contrast_the_guideline_prints():
    # WCAG 2.2 gives 21:1 as the largest contrast there is; from-memory.
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0, abs=0.05)


@pytest.mark.parametrize(
    ("theme", "word", "ground"), [*product(("light", "dark"), WORDS, ("paper", "deeper-paper", "entry"))]
)
def test_every_word_can_be_read_on_every_ground(theme: str, word: str, ground: str):
    # WCAG 2.2, success criterion 1.4.3: at least 4.5:1 for text; from-memory.
    colours = tokens(theme)

    assert contrast(colours[word], colours[ground]) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_button_can_be_read_and_an_entry_can_be_found(theme: str):
    # WCAG 2.2, 1.4.3 for the word on the button, 1.4.11 (3:1) for the line around an entry; from-memory.
    colours = tokens(theme)

    assert contrast(colours["on-brown-glass"], colours["brown-glass"]) >= 4.5
    assert contrast(colours["faded-ink"], colours["paper"]) >= 3.0
    assert contrast(colours["water"], colours["paper"]) >= 3.0


def test_the_device_theme_and_the_chosen_dark_theme_are_one():
    asked = STYLE[STYLE.index(':root:not([data-theme="light"])') :]
    device = dict(re.findall(r"--([a-z-]+): (#[0-9A-Fa-f]{6})", asked[: asked.index("}")]))

    assert device == tokens("dark")


def test_nothing_is_loaded_from_elsewhere_and_nothing_glows():
    base = (WEB / "templates" / "base.html").read_text(encoding="utf-8")

    assert not re.search(r"https?:|//[a-z]", STYLE + base)
    assert not re.search(r"shadow|gradient|@import", STYLE)
    assert "<script>" not in base


HOSTILE = """<img src=x onerror="a">'&{{ 7*7 }}"""


@pytest.fixture
def render() -> Any:
    written = environment()

    def rendered(source: str, **context: Any) -> str:
        return written.from_string('{% import "macros.html" as m %}' + source).render(**context)

    return rendered


@pytest.mark.parametrize(
    "source",
    [
        "{{ m.status(x) }}",
        "{{ m.number(shown) }}{{ m.number(shown, size='answer') }}",
        "{{ m.table(figures | laid, x) }}{{ m.table(wide | laid, x) }}",
        "{{ m.facts([(x, x), (x, link), (x, mark), (x, shown)]) }}",
        "{{ m.field(x, x, x, x, x, x) }}{{ m.field(x, x, choices=[(x, x)]) }}",
        "{{ m.field(x, x, x, kind='long') }}",
        "{{ m.trouble(x) }}{{ m.said(x) }}",
        "{{ m.empty(x, x, {'text': x, 'href': x}) }}{{ m.stream('<svg></svg>', x) }}",
        "{{ m.caution({'hazard': x, 'moment': x, 'wording': x}) }}",
        "{% call m.step(1, 2, x, x, then=x, code=x, power_href=x) %}{{ m.weighing(w) }}{% endcall %}",
    ],
)  # fmt: skip
def test_what_a_person_typed_is_text_in_every_macro(render: Any, source: str):
    leaf = ShownLeaf("reading", HOSTILE, HOSTILE)
    shown = Shown(
        label=HOSTILE, value=HOSTILE, plus_minus=HOSTILE, unit=HOSTILE, basis=HOSTILE, how=HOSTILE,
        leaves=(leaf,) * 6, href=HOSTILE, put_right=HOSTILE,
    )  # fmt: skip
    link, mark = Link(HOSTILE, HOSTILE), Mark(HOSTILE)
    wide = Table(
        (HOSTILE,) * 5, ((HOSTILE, shown, shown, link, mark), (mark, shown, HOSTILE, "", link)), figures=(1,)
    )
    weighing = dict.fromkeys(
        ("what", "target", "tolerance", "unit", "low", "high", "name", "reading", "error"), HOSTILE
    )

    figures = Table((HOSTILE,), ((shown,), (HOSTILE,)), figures=(0,))

    made = {"shown": shown, "link": link, "mark": mark, "w": weighing, "wide": wide, "figures": figures}
    page = render(source, x=HOSTILE, **made)

    assert "&lt;img src=x onerror=" in page
    assert "<img" not in page
    assert 'onerror="' not in page
    assert "49" not in page


def test_a_state_is_a_sign_and_a_word_and_not_a_colour_alone(render: Any):
    signs = {"waiting": "◦", "released": "✓", "stopped": "■", "rejected": "✕"}
    for word, sign in signs.items():
        page = render("{{ m.status(word) }}", word=word)

        assert sign in page
        assert word in page


def test_a_number_opens_to_how_and_to_its_leaves(render: Any):
    shown = Shown(
        "Bark", "132.4", "9.8 (k = 2)", "g", "as is", "Solved.", (ShownLeaf("assumed", "yield", "/a"),)
    )

    page = render("{{ m.number(shown) }}", shown=shown)
    text = " ".join(re.sub(r"<[^>]+>", " ", page).split())

    assert "132.4 ± 9.8 (k = 2) g" in text
    assert "Solved. Assumed yield" in text
    assert 'href="/a"' in page


def test_a_span_stands_in_place_of_the_uncertainty(render: Any):
    shown = Shown("Bark", "132.4", "", "g", span="120.1 to 141.0")

    assert ">120.1 to 141.0<" in render("{{ m.figure(shown) }}", shown=shown)


def test_figures_of_a_column_stand_on_their_decimal_point(render: Any):
    rows = (
        ("a", Shown("a", "132.4", "0.5", "g")),
        ("b", Shown("b", "2944", "12", "g")),
        ("c", Shown("c", "0.25", "", "g")),
    )

    page = render("{{ m.table(masses | laid) }}", masses=Table(("What", "Mass"), rows, figures=(1,)))
    cells = re.findall(r'<td class="figures"><span class="cell">(.*?)</span></td>', page, re.DOTALL)
    tails = [
        len(re.sub(r"<[^>]+>", "", cell.split('<span class="plus-minus">')[0]).partition(".")[2])
        for cell in cells
    ]
    spreads = [len(re.sub(r"<[^>]+>", "", cell.split('<span class="plus-minus">')[1])) for cell in cells]

    assert tails == [2, 2, 2]
    assert len(set(spreads)) == 1
    assert page.count('<span class="unit">g</span>') == 1


def test_units_that_differ_stand_beside_their_figures(render: Any):
    rows = (("a", Shown("a", "1", "", "g")), ("b", Shown("b", "2", "", "L")))

    page = render("{{ m.table(amounts | laid) }}", amounts=Table(("What", "Amount"), rows, figures=(1,)))

    assert re.findall(r'<span class="unit">(.)</span>', page) == ["g", "L"]


def test_what_is_not_stated_is_never_shown_as_zero(render: Any):
    page = render("{{ m.table(masses | laid) }}", masses=Table(("What", "Mass"), (("a", ""),), figures=(1,)))

    assert '<td class="figures"><span class="cell"><span class="blank"></span></span></td>' in page


def test_the_pointer_of_a_weighing_leaves_the_band_when_the_mass_does(render: Any):
    inside = render("{{ m.beam(0.9, '1', '2', '3') }}")
    outside = render("{{ m.beam(1.1, '1', '2', '3') }}")

    assert "pointer outside" not in inside
    assert "pointer outside" in outside
