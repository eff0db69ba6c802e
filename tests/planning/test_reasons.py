"""Every figure of a plan opens down to its leaves, and comes out of them again the same."""

import json

import pytest

from stillroom.evidence.answer import leaves, rerun, walk
from stillroom.evidence.trails import from_trail, trail
from stillroom.planning import stages, totals
from stillroom.planning.figures import FIGURES, figure
from stillroom.planning.request import PlanRequest
from tests.planning.practice import practice_plan, practice_request

LINES = {one.key: one for one in practice_plan().lines}


def forget() -> None:
    for stage in (stages.filling, stages.supply, stages.content, totals.totals):
        stage.cache_clear()


@pytest.mark.parametrize("key", LINES)
def test_every_leaf_is_a_reading_a_published_row_or_an_assumption(key):
    answer = LINES[key].answer

    assert answer.leaf is None
    for one in leaves(answer):
        assert one.leaf.kind in ("reading", "published", "assumed")
        assert one.leaf.where
        assert one.leaf.kind != "published" or one.leaf.where.count(",") >= 1


def test_every_figure_reruns_to_the_printed_value_from_its_written_trail_alone():
    written = {key: json.loads(json.dumps(trail(line.answer))) for key, line in LINES.items()}
    forget()
    again = {key: rerun(from_trail(table)) for key, table in written.items()}

    assert again == {key: line.value for key, line in LINES.items()}


def test_a_changed_leaf_changes_the_figure():
    table = json.loads(json.dumps(trail(LINES["plant_g"].answer)))
    answer = from_trail(table)
    inputs = {name: (one.value, one.standard_uncertainty or 0.0) for name, one in answer.inputs}
    fixed = dict(answer.fixed)
    inputs["extraction/dry/film_g"] = (1.5, 0.3)

    assert figure(inputs=inputs, **fixed) > 1.005 * answer.value


def test_an_early_figure_does_not_carry_the_inputs_of_a_late_one():
    early = {name for name, _ in LINES["fill_g"].answer.inputs}
    late = {name for name, _ in LINES["cost"].answer.inputs}

    assert not any(name.startswith(("extraction/", "price of")) for name in early)
    assert early < late


def test_the_lot_is_a_reading_with_its_entry_and_the_still_is_published():
    lot = {one.name: one for one in walk(LINES["plant_g"].answer) if one.leaf is not None}

    assert lot["lot CIN-01/assay"].leaf.kind == "reading"
    assert lot["lot CIN-01/assay"].leaf.entry_no == 9
    assert lot["markers/quinine/molar mass"].leaf.kind == "published"
    assert lot["assumed/other extractables"].leaf.kind == "assumed"
    assert "ethanol-water-nrtl-vle-ig" in LINES["plant_g"].answer.sources


def test_a_plan_rests_on_assumptions_and_says_so():
    assert LINES["plant_g"].answer.rests_on_an_assumption


def test_sources_are_listed_publications():
    from stillroom.reference.sources import sources

    known = set(sources())
    named = {key for line in LINES.values() for one in walk(line.answer) for key in one.sources}
    named |= {key for one in FIGURES.values() for key in one.sources}

    assert named <= known


def test_all_trails_in_one_table_hold_each_shared_input_once():
    made = practice_plan()
    table = made.trails()
    rows = table["rows"]
    names = [row["name"] for row in rows.values() if row.get("leaf")]

    assert set(table["tops"]) == {one.key for one in made.lines}
    assert len(names) == len(set(names))
    assert from_trail({"top": table["tops"]["bulk_g"], "rows": rows}) == made.line("bulk_g").answer


def test_a_request_turns_into_json_and_back():
    request = practice_request()

    assert PlanRequest.from_json(json.loads(json.dumps(request.to_json()))) == request


def test_a_plan_is_json():
    made = practice_plan()
    written = json.loads(json.dumps(made.to_json()))

    assert [one["key"] for one in written["lines"]] == [one.key for one in made.lines]
    assert PlanRequest.from_json(written["request"]) == made.request


def test_every_line_tells_its_spread_and_its_largest_contribution():
    for line in practice_plan().lines:
        assert line.low <= line.median <= line.high, line.key
        assert line.label, line.key
        assert line.says.endswith("."), line.key
        assert (line.largest_input == "") == (line.high == line.low) or line.high - line.low < 1e-9, line.key
        if line.r_squared is not None and line.r_squared < 0.9:
            assert "interaction" in line.note, line.key


def test_what_the_plant_hangs_on_most_comes_first():
    doubts = practice_plan().doubts

    assert [one.share for one in doubts] == sorted((one.share for one in doubts), reverse=True)
    assert practice_plan().line("plant_g").largest_input == doubts[0].name
    assert {one.origin for one in doubts} <= {"reading", "published", "assumed"}


def test_a_leaf_has_its_uncertainty_in_its_own_unit():
    # Retention 1.6 mL/g, known to a quarter of itself.
    leaf = {one.name: one for one in leaves(LINES["plant_g"].answer)}[
        "bark-extract/percolate/retention_ml_per_g"
    ]

    assert (leaf.value, leaf.unit) == (1.6, "mL/g")
    assert leaf.standard_uncertainty == pytest.approx(0.4)
