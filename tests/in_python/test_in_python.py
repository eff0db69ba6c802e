"""From Python the same figures as everywhere, by names that stay."""

import inspect
import json
import random
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pandas
import pytest

import stillroom
from stillroom.asking.figures import figures_of
from stillroom.asking.question import answer
from stillroom.documents.as_json import page_json
from stillroom.errors import BadEntry, UnknownName
from stillroom.in_python.reading import Laboratory
from stillroom.pages.plans import show_plan
from stillroom.pages.stock import show_lot
from stillroom.questions import VERBS, declared
from stillroom.texts.catalogue import speaking
from tests.practice import opened, told_folder
from tests.said_otherwise.test_said_otherwise import FACTS, facts_of

TODAY = date(2026, 11, 29)
NAMES = Path(__file__).parent / "figures.txt"
"""Figures of each question, "siphon cycles"; where several lines are numbered, "*". This list only grows."""
SIPHON = {"residues": "412; 251; 156 mg", "collected": "18.42 g", "cycle": "14 min"}


def said(question: str, seed: int = 1) -> dict[str, str]:
    """A question as it is usually asked."""
    rng = random.Random(seed)
    field = next(iter(FACTS[question]))
    fields, wordings = facts_of(question, field, rng)
    return {**fields, field: wordings[0].text}


def names_of(question: str) -> set[str]:
    found = answer(declared(question), said(question), TODAY).found
    return {f"{question} " + re.sub(r"[.]\d+", ".*", name) for name in figures_of(found)}


@pytest.mark.parametrize("question", VERBS)
def test_every_kept_name_of_a_figure_is_there_for_ever(question):
    kept = {line for line in NAMES.read_text().splitlines() if line.split()[0] == question}

    assert kept, f"write the figures of {question} into {NAMES.name}: {sorted(names_of(question))}"
    assert kept == names_of(question), "a new name goes into the list, a kept one stays"


@pytest.mark.parametrize("question", VERBS)
def test_a_question_asked_from_python_gives_what_its_page_gives(question):
    fields = said(question)
    entries = {one.name: one for one in declared(question).entries}
    ask = getattr(stillroom, question)
    typed = {entries[name].face.get("option", name).replace("-", "_"): text for name, text in fields.items()}
    found = ask(today=TODAY, **typed)
    told = page_json(answer(declared(question), fields, TODAY).page)["figures"]

    assert list(inspect.signature(ask).parameters)[-1] == "today"
    assert told
    for one in told:
        if one["name"] in found:
            figure = found[one["name"]]
            of_one = 0.01 if (figure.unit, one["unit"]) == ("", "%") else 1.0  # a share, printed in per cent
            assert figure.value == pytest.approx(of_one * one["value"], rel=1e-12)
            assert figure.u == one["u"]
            assert of_one < 1.0 or figure.unit == one["unit"]
            assert figure.trail["top"] == one["answer"]
    assert any(one["name"] in found for one in told)


def test_the_names_of_figures_are_the_same_in_french() -> None:
    with opened(told_folder()) as lab:
        for show, code in ((show_lot, "CIN-01"), (show_plan, "ORD-1")):
            english = page_json(show(lab, code))
            with speaking("fr"):
                french = page_json(show(lab, code))

            assert english["figures"]
            assert [one["name"] for one in english["figures"]] == [one["name"] for one in french["figures"]]
            assert english["blocks"] != french["blocks"]


def test_a_misspelt_entry_and_a_figure_that_is_not_there_are_told_with_the_nearest():
    with pytest.raises(UnknownName, match="residues"):
        stillroom.siphon(residue="412")
    found = stillroom.siphon(**SIPHON)
    with pytest.raises(UnknownName, match="minutes"):
        found["minute"]
    with pytest.raises(AttributeError):
        stillroom.syphon  # noqa: B018


def test_numbers_and_lists_are_taken_as_they_would_be_written():
    assert (
        stillroom.siphon(**{**SIPHON, "residues": [412, 251, "156 mg"]})
        .frame()
        .equals(stillroom.siphon(**SIPHON).frame())
    )


DILUTION = {"have": "96 % v/v", "want": "70 % v/v", "amount": "1 L", "at": "20 °C"}
BLEND = {
    "stock_1": "96 % v/v", "stock_1_amount": "3 L", "stock_2": "50 % v/v", "stock_2_amount": "3 L",
    "want": "70 % v/v", "amount": "1 L", "at": "20 °C",
}  # fmt: skip


@pytest.mark.parametrize("bare", ["70", 70, "70 %", "70,0 per cent"])
@pytest.mark.parametrize(
    ("ask", "said", "field"),
    [
        (stillroom.dilute, DILUTION, "want"),
        (stillroom.dilute, DILUTION, "have"),
        (stillroom.blend, BLEND, "want"),
        (stillroom.blend, BLEND, "stock_1"),
    ],
)
def test_a_strength_that_says_no_ratio_is_asked_back_where_nothing_is_printed_beside_it(
    ask, said, field, bare
):
    assert ask(**said)

    with pytest.raises(BadEntry, match=r"% v/v|its basis"):
        ask(**said | {field: bare})


def test_the_water_of_fresh_plant_is_no_strength():
    assert stillroom.blend(**BLEND, stock_3="78", stock_3_amount="300 g", stock_3_what="fresh plant")


def test_figures_come_as_a_table_of_a_notebook_and_as_a_frame():
    found = stillroom.siphon(**SIPHON)

    frame = found.frame()
    assert isinstance(frame, pandas.DataFrame)
    assert frame.set_index("name").loc["remaining", "unit"] == "mg"
    assert found._repr_html_().count("<tr>") == len(found) + 1
    assert found._ipython_key_completions_() == list(found)


def test_a_book_is_read_by_lots_batches_results_and_plans():
    with stillroom.laboratory(told_folder()) as lab:
        assert isinstance(lab, Laboratory)
        lots = lab.lots.frame().set_index("code")
        results = lab.results.frame()
        of_bark = lab.lot("CIN-01")
        assert lots.loc["CIN-01", "kind"].value == "plant material"
        assert lots.loc["CIN-01", "shelf_g"] > 0
        assert {"E1", "T1"} <= {one["code"] for one in lab.batches}
        assert "ORD-1" in {one["code"] for one in lab.orders}
        assert set(of_bark) <= set(results[results["of"] == "CIN-01"]["name"])
        assert len(lab.plan("ORD-1")) > 5
        assert "CIN-01" in str(of_bark)
        json.dumps(of_bark["loss on drying"].trail)


def test_importing_stillroom_loads_no_question():
    loaded = "import sys, stillroom; print([one for one in sys.modules if one.startswith(('stillroom.', 'numpy'))])"

    assert subprocess.check_output([sys.executable, "-c", loaded], text=True).strip() == "[]"
