"""The river is read back out of the SVG: its widths, its pools, its labels, its links."""

import re
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.documents.stream_drawing import Bend, Pool, stream_in_words, stream_svg
from stillroom.documents.stream_labels import text_width
from stillroom.documents.stream_layout import Layout, lay_out
from stillroom.errors import BadEntry

SVG = "{http://www.w3.org/2000/svg}"


def chain(start_g: float, *steps: tuple[str, dict[str, float]]) -> list[Bend]:
    """Bends in which each loses the grams named, with a spread of a tenth either way."""
    bends, grams = [], start_g
    for number, (name, losses) in enumerate(steps):
        left = grams - sum(losses.values())
        pools = tuple(Pool(pool, lost) for pool, lost in losses.items())
        bends.append(Bend(name, grams, left, 0.9 * left, 1.1 * left, pools, f"/make/7/step/{number + 1}"))
        grams = left
    return bends


def tonic() -> list[Bend]:
    """An invented batch: seven steps, ten losses."""
    return chain(
        9.41,
        ("Extract, three portions", {"held by the marc": 1.12}),
        ("Filter and press", {"filter and vessel": 0.18}),
        ("Recover spirit", {"decayed by heat": 0.09}),
        ("Clean up", {"left in the acid water": 0.42, "interface and rag": 0.16}),
        ("Dry to extract", {"on the dish": 0.11}),
        ("Dose the bulk", {"extract to spare": 1.05, "assay and keeping samples": 0.31}),
        ("Fill", {"filling loss": 0.22, "overfill": 0.16}),
    )


def paths(svg: str, name: str) -> list[list[float]]:
    root = ElementTree.fromstring(svg)
    found = [one.get("d") or "" for one in root.iter(f"{SVG}path") if one.get("class") == name]
    return [[float(figure) for figure in re.findall(r"-?\d+\.\d+", d)] for d in found]


def ribbon_widths(svg: str, along: int) -> list[float]:
    """Width of each loss where it runs straight to its pool, read from two corners of its path.

    The path is: gate, turn, arc (two radii, end), pool far side, pool near side. ``along``: 0 broad, 1 tall.
    """
    losses = paths(svg, "loss")[::2]
    return [figures[8 + along] - figures[10 + along] for figures in losses]


@pytest.mark.parametrize("layout", ["broad", "tall"])
def test_every_width_is_grams_times_one_scale(layout: Layout):
    bends = tonic()
    svg = stream_svg(bends, layout=layout)
    across = 1 if layout == "broad" else 0
    middle, river = paths(svg, "middle")[0], paths(svg, "river")[0]
    start_px = abs(river[across] - middle[across])
    scale = start_px / bends[0].grams_in

    widths = ribbon_widths(svg, 0 if layout == "broad" else 1)
    lost = [one.grams for bend in bends for one in bend.losses]

    assert start_px > 60
    assert widths == pytest.approx([grams * scale for grams in lost], abs=0.5)
    course = lay_out(bends, 960 if layout == "broad" else 360, layout, "in", "out")
    last = course.stations[-1]
    assert last.bank - last.middle == pytest.approx(bends[-1].grams_out * scale, abs=0.5)
    assert last.bank - last.low == pytest.approx(bends[-1].low_5 * scale, abs=0.5)
    assert last.bank - last.high == pytest.approx(bends[-1].high_95 * scale, abs=0.5)


@pytest.mark.parametrize("layout", ["broad", "tall"])
def test_what_flows_in_flows_out_or_stands_in_a_pool(layout: Layout):
    svg = stream_svg(tonic(), layout=layout)
    across = 1 if layout == "broad" else 0
    middle, river = paths(svg, "middle")[0], paths(svg, "river")[0]
    source = abs(river[across] - middle[across])
    course = lay_out(tonic(), 960 if layout == "broad" else 360, layout, "in", "out")
    mouth = course.stations[-1].bank - course.stations[-1].middle

    pools = sum(ribbon_widths(svg, 0 if layout == "broad" else 1))

    assert mouth + pools == pytest.approx(source, abs=0.5)


def test_a_bend_that_loses_grams_without_a_name_is_refused():
    leaking = [Bend("Extract", 10.0, 8.0, 7.0, 9.0, (Pool("marc", 1.5),))]

    with pytest.raises(BadEntry, match=r"'Extract' must give out what it takes in.*9\.5 g given out"):
        stream_svg(leaking)


def test_a_bend_that_takes_in_more_than_arrives_is_refused():
    jump = [Bend("Extract", 10.0, 8.0, 8.0, 8.0, (Pool("marc", 2.0),)), Bend("Dry", 8.5, 8.5, 8.5, 8.5)]

    with pytest.raises(BadEntry, match=r"8 g arriving, 8\.5 g taken in"):
        stream_svg(jump)


def test_a_stream_without_steps_is_refused():
    with pytest.raises(BadEntry, match="at least one step"):
        stream_in_words([])


@pytest.mark.parametrize(
    "address", ["javascript:alert(1)", "//elsewhere.example/x", "http://elsewhere.example"]
)
def test_a_bend_opens_only_a_page_of_this_book(address: str):
    bends = [Bend("Extract", 1.0, 1.0, 1.0, 1.0, (), address)]

    with pytest.raises(BadEntry, match="a page of this book"):
        stream_svg(bends)


@pytest.mark.parametrize("layout", ["broad", "tall"])
def test_names_are_text_and_never_markup(layout: Layout):
    bends = chain(5.0, ('<script>"&', {"<b>marc</b> & 'rest'\x00": 1.0}))

    svg = stream_svg(bends, layout=layout, begins="<i>", ends="]]>")

    root = ElementTree.fromstring(svg)
    assert {one.tag.removeprefix(SVG) for one in root.iter()} <= {
        "svg", "title", "desc", "path", "text", "a", "rect",
    }  # fmt: skip
    assert '<script>"&' in (root.findtext(f"{SVG}desc") or "")


@pytest.mark.parametrize("layout", ["broad", "tall"])
def test_no_two_labels_share_room(layout: Layout):
    course = lay_out(tonic(), 960 if layout == "broad" else 360, layout, "in the plant", "in the bottles")

    for one, other in combinations(course.labels, 2):
        beside = one.left + one.width <= other.left + 0.01 or other.left + other.width <= one.left + 0.01
        apart = one.top + one.height <= other.top + 0.01 or other.top + other.height <= one.top + 0.01
        assert beside or apart, (one.lines, other.lines)


@pytest.mark.parametrize("layout", ["broad", "tall"])
def test_every_line_fits_its_box_and_every_box_the_drawing(layout: Layout):
    course = lay_out(tonic(), 960 if layout == "broad" else 360, layout, "in the plant", "in the bottles")

    for label in course.labels:
        assert all(text_width(line, label.size) <= label.width + 0.01 for line in label.lines), label.lines
        assert label.left >= 0
        assert label.left + label.width <= course.width
        assert label.top >= 0
        assert label.top + label.height <= course.height


def test_no_label_lies_on_the_river():
    course = lay_out(tonic(), 960, "broad", "in the plant", "in the bottles")
    top = min(one.high for one in course.stations)

    for gate in course.gates:
        assert gate.label.top + gate.label.height <= top


def test_each_bend_is_a_link_to_its_step():
    root = ElementTree.fromstring(stream_svg(tonic()))

    links = [one.get("href") for one in root.iter(f"{SVG}a")]

    assert links == [f"/make/7/step/{number}" for number in range(1, 8)]


def test_those_who_cannot_see_it_are_told_every_gram():
    words = stream_in_words(tonic())

    assert words.startswith("The stream starts with 9.41 g of the active in the plant.")
    assert "Clean up: 7.44 g goes on (5–95 %: 6.70 g to 8.18 g); leaving it: " in words
    assert "left in the acid water 0.420 g and interface and rag 0.160 g." in words
    assert words.endswith("5.59 g ends in the bottles: 59 % of what was in the plant.")
    assert words in (ElementTree.fromstring(stream_svg(tonic())).findtext(f"{SVG}desc") or "")


names = st.text(min_size=1, max_size=40)


@given(
    st.lists(
        st.tuples(names, st.lists(st.tuples(names, st.floats(0, 0.3)), max_size=3)), min_size=1, max_size=7
    ),
    st.sampled_from(["broad", "tall"]),
)
def test_any_stream_that_closes_is_drawn_in_well_formed_svg_without_shared_room(steps, layout):
    bends, grams = [], 50.0
    for name, losses in steps:
        pools = tuple(Pool(pool, share * grams) for pool, share in losses)
        left = grams - sum(one.grams for one in pools)
        bends.append(Bend(name, grams, left, 0.8 * left, 1.3 * left, pools))
        grams = left

    ElementTree.fromstring(stream_svg(bends, layout=layout))

    course = lay_out(bends, 960 if layout == "broad" else 360, layout, "in the plant", "in the bottles")
    for one, other in combinations(course.labels, 2):
        beside = one.left + one.width <= other.left + 0.01 or other.left + other.width <= one.left + 0.01
        apart = one.top + one.height <= other.top + 0.01 or other.top + other.height <= one.top + 0.01
        assert beside or apart, (one.lines, other.lines)


def test_a_step_after_which_nothing_is_left_is_drawn_too() -> None:
    from stillroom.documents.stream_diagram import river
    from stillroom.planning import outcome

    bends = (
        outcome.Bend(
            "p", "evaporate", "concentrate", 5.0, 4.0, 3.5, 4.5, (outcome.Elsewhere("tails", 1.0, 0.5, 1.5),)
        ),
        outcome.Bend("p", "dry", "dry", 0.004, 0.0, 0.0, 0.0, ()),
    )

    assert "evaporate" in river(bends, ends="in the extract").words


@given(st.lists(st.floats(1e-9, 3.0), min_size=2, max_size=5), st.floats(1e-9, 100.0))
def test_a_step_that_loses_everything_in_several_ways_is_drawn_however_the_shares_round(parts, grams) -> None:
    from stillroom.documents.stream_diagram import river
    from stillroom.planning import outcome

    lost = tuple(outcome.Elsewhere(f"way {at}", part, part, part) for at, part in enumerate(parts))

    assert "dry" in river((outcome.Bend("p", "dry", "dry", grams, 0.0, 0.0, 0.0, lost),)).words
