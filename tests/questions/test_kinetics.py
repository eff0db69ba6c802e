"""Fitting a time–yield table: pasted or typed, by itself or by name, told with its intervals and its limits."""

import csv
import json
from contextlib import closing
from datetime import date
from pathlib import Path
from urllib.parse import urlencode

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.answers.yield_over_time import at_time, fitted_table, out_by, time_out_min, yield_later
from stillroom.asking.question import answer
from stillroom.documents.as_json import page_json
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotEnough, StillroomError
from stillroom.evidence.answer import reading, rerun
from stillroom.questions import declared
from stillroom.questions.kinetics import BY, SIMPLER, table_in
from stillroom.science.extraction.kinetics import LAWS, SECOND_ORDER, yield_by_law
from stillroom.science.extraction.kinetics_fit import fit_law
from stillroom.web.app import make_app
from tests.long_form import studied
from tests.pages_in_process import Pages

CHECKS = Path(__file__).parents[1] / "reference_checks"
TABLE = "0 0; 10 6.32; 20 8.65; 40 9.82; 80 10.0"
SEEDS = [
    f"{row['time_min']},{row['cumulative_yield']}"
    for row in csv.DictReader((CHECKS / "kinetics_tables.csv").read_text().splitlines())
    if row["dataset"] == "duba_seeds_80C"
]
"""Duba 2015, grape seeds by hot pressurised water at 80 °C; second-hand."""


def asked(**fields: str):
    said = {"table": TABLE, **{name.replace("_", "-"): text for name, text in fields.items()}}
    return answer(declared("kinetics"), said, date(2026, 11, 29))


def test_every_law_can_be_named() -> None:
    assert set(BY) == {SIMPLER, SECOND_ORDER, *LAWS}
    for law in BY:
        words = page_text(
            asked(table="0 0; 5 3.9; 10 6.3; 20 8.6; 30 9.5; 40 9.8; 60 9.95; 80 10.0", law=law).page
        )
        assert "95 of 100 between" in words


def test_a_published_curve_pasted_as_csv_gives_the_figures_somebody_else_fitted() -> None:
    # computed by somebody else on second-hand points: first order, 49.94 mg/g and 0.012321 /min
    printed = json.loads((CHECKS / "kinetics_fits.json").read_text())["duba_seeds_80C"]["fits"]["first_order"]
    found = asked(table="time,yield\n" + "\n".join(SEEDS), unit="mg/g", law="first order").found.figures

    assert found["yield_at_end"].value == pytest.approx(printed["y_inf"], rel=2e-4)
    assert found["rate"].value == pytest.approx(printed["k_per_min"], rel=3e-4)
    assert rerun(found["yield_at_end"]) == found["yield_at_end"].value
    low, high = asked(table="\n".join(SEEDS), law="first order").found.chosen.yield_at_end.low, 1e9
    assert low < found["yield_at_end"].value < high


def test_the_page_says_that_no_soxhlet_table_was_found_and_draws_the_curve() -> None:
    page = asked().page

    assert "No published time–yield table of a Soxhlet was found" in " ".join(page_text(page).split())
    assert "first order" in json.dumps(page_json(page))


def test_hours_are_minutes_and_the_yield_at_a_time_is_by_the_law() -> None:
    by_hour = asked(table="0 0; 0.5 6.32; 1 8.65; 2 9.82; 4 10.0", time_in="h", at="60 min").found.figures
    by_minute = asked(table="0 0; 30 6.32; 60 8.65; 120 9.82; 240 10.0", at="1 h").found.figures

    for name, one in by_minute.items():
        assert by_hour[name].value == pytest.approx(one.value, rel=1e-6)
    assert by_minute["yield_asked"].value == pytest.approx(8.65, rel=2e-3)


def test_a_curve_that_was_cut_off_early_says_that_its_end_is_a_forecast() -> None:
    words = " ".join(page_text(asked(table="0 0; 5 1.0; 10 1.95; 15 2.9; 20 3.7").page).split())

    assert "rests on the curve, not on a weighing" in words


@given(
    rows=st.lists(
        st.tuples(st.integers(0, 500), st.integers(0, 9999)), min_size=4, max_size=20, unique_by=lambda one: one[0]
    ),
    between=st.sampled_from(["; ", ",", "\t", " ", "  "]),
    head=st.sampled_from(["", "time yield\n", "t / min; q\n"]),
)  # fmt: skip
def test_a_table_is_the_same_however_its_cells_are_parted(
    rows: list[tuple[int, int]], between: str, head: str
) -> None:
    text = head + "\n".join(f"{time}{between}{out / 100:.2f}" for time, out in rows)

    assert table_in(text, "table") == tuple(sorted((float(time), out / 100) for time, out in rows))


@pytest.mark.parametrize(
    "table",
    [
        "",
        "time yield",
        "1 2 3; 2 3",
        "a b; 1 2",
        "0 0; 10 6.3",
        "0 0; 10 0; 20 0; 30 0",
        "-5 1; 10 2; 20 3; 30 4",
    ],
)
def test_what_is_no_table_is_asked_back(table: str) -> None:
    with pytest.raises(StillroomError):
        asked(table=table)


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        ("time (h), yield (mg/g)", "h"),
        ("t / h; q", "h"),
        ("time d\tyield", "d"),
        ("time [s], out", "s"),
        ("h; mg/g", "h"),
    ],
)
def test_a_unit_of_time_in_the_head_of_a_table_is_never_dropped(head: str, unit: str) -> None:
    rows = "\n".join(("0 0", "1 6.32", "2 8.65", "4 9.82", "8 10.0"))
    with pytest.raises(BadEntry, match=f"{unit} in the head, min beside it"):
        asked(table=f"{head}\n{rows}")
    if unit != "s":
        said = asked(table=f"{head}\n{rows}", time_in=unit).found.figures
        assert said["rate"].value == pytest.approx(
            asked(table=rows, time_in=unit).found.figures["rate"].value
        )


def test_portions_written_in_place_of_all_that_is_out_are_told() -> None:
    words = " ".join(page_text(asked(table="10 310; 20 190; 30 118; 40 74; 50 40").page).split())

    assert "The yields fall from 310.0 to 190.0" in words
    assert "✓" not in words.split("What it is not")[0]


def test_points_on_a_line_tell_no_yield_at_the_end() -> None:
    with pytest.raises(NotEnough, match="begin to bend"):
        asked(table="5 1; 10 2; 20 4; 40 8; 80 16")


def test_where_all_was_out_by_the_first_point_no_pace_is_told() -> None:
    found = asked(table="10 9.9; 20 10.1; 30 9.95; 40 10.05; 50 10.0")
    words = " ".join(page_text(found.page).split())

    assert "most_out" not in found.found.figures
    assert "no upper end can be told" in words
    assert "how fast it came cannot be told" in words


def test_what_is_out_at_time_0_is_asked_for_its_time() -> None:
    with pytest.raises(BadEntry, match="At time 0 nothing is out yet"):
        asked(table="0 3; 10 9; 20 12; 30 13; 40 13.5; 50 13.7")


@pytest.mark.parametrize(
    ("law", "figures"), [("first order", [0.03]), ("Peleg", [0.06]), ("washing and diffusion", [0.35, 0.03])]
)
def test_a_yield_at_a_time_and_when_most_is_out_hold_the_truth_95_times_in_100(
    law: str, figures: list[float]
) -> None:
    times = [2.0, 5.0, 10.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 400.0]
    clean, chance, tries = (
        yield_by_law(law, np.array(times), 20.0, figures),
        np.random.default_rng(4),
        studied(100, 50, 30),
    )
    there = float(yield_by_law(law, 75.0, 20.0, figures))
    most = time_out_min(fit_law(law, times, list(clean), with_intervals=False), 0.95, 400.0)
    held = {"yield_asked": 0, "most_out": 0}
    for _ in range(tries):
        points = [
            (at_time(time, number), out_by(abs(out), number, "mg/g"))
            for number, (time, out) in enumerate(
                zip(times, clean + chance.normal(0.0, 0.2, 10), strict=True), 1
            )
        ]
        found = yield_later(
            fitted_table(points, law, "mg/g"), reading("time asked", 75.0, "min", "as asked")
        ).figures
        for name, true in (("yield_asked", there), ("most_out", most)):
            held[name] += abs(found[name].value - true) <= 2.0 * found[name].standard_uncertainty

    assert all(0.95 - 3.0 * np.sqrt(0.05 / tries) <= one / tries for one in held.values()), held


def test_a_pasted_table_goes_in_by_the_page_as_it_goes_in_by_hand() -> None:
    with closing(Pages(make_app(None))) as pages:
        form = pages.get("/ask/kinetics").text
        lines = "\r\n".join(("time,yield", "0,0", "10,6.32", "20,8.65", "40,9.82", "80,10"))
        pasted = pages.get("/ask/kinetics?" + urlencode({"table": lines}))
        zero = pages.get("/ask/kinetics?" + urlencode({"table": "0 0\x00; 10 6"}))

    assert '<textarea id="table"' in form
    assert pasted.status_code == 200
    assert "is enough" in pasted.text
    assert zero.status_code == 400
