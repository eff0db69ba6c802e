"""A procedure in a form is the procedure in its file: the same record both ways, and a trouble stands at its field."""

from importlib.resources import files
from typing import Any

import pytest
from hypothesis import given

from stillroom.records.from_yaml import SeveralBadEntries, procedure_from_yaml, procedure_to_yaml
from stillroom.records.procedure_from_fields import fields_of, procedure_from_fields, rows
from tests.records.test_to_yaml import procedures

PRACTICE = files("stillroom.demo").joinpath("practice")


def practice(name: str) -> Any:
    return procedure_from_yaml(PRACTICE.joinpath(name).read_text("utf-8"), name)


@given(procedures())
def test_a_procedure_written_into_a_form_reads_back_the_same(procedure: Any) -> None:
    assert procedure_from_fields(fields_of(procedure)) == procedure


@given(procedures())
def test_what_a_form_holds_is_what_its_text_holds(procedure: Any) -> None:
    from_form = procedure_from_fields(fields_of(procedure))

    assert procedure_to_yaml(from_form) == procedure_to_yaml(procedure)


@pytest.mark.parametrize("name", ["bark-extract.yaml", "hair-tonic.yaml"])
def test_the_practice_procedures_pass_through_the_form(name: str) -> None:
    procedure = practice(name)

    assert procedure_from_fields(fields_of(procedure)) == procedure


def told(fields: dict[str, str]) -> dict[str, str]:
    with pytest.raises(SeveralBadEntries, match=r"\w") as caught:
        procedure_from_fields(fields)
    return {one.where: one.sentence for one in caught.value.errors}


def test_every_trouble_stands_at_its_field() -> None:
    fields = fields_of(practice("hair-tonic.yaml")) | {
        "title": "",
        "keeps": "two years",
        "line-2-percent": "120",
        "step-1-hands": "60 g",
        "step-1-set-1-value": "nought",
        "step-2-set-2-origin": "guessed",
    }
    found = told(fields)

    assert set(found) == {
        "title",
        "keeps",
        "line-2-percent",
        "step-1-hands",
        "step-1-set-1-value",
        "step-2-set-2-origin",
    }
    assert "Fill it in" in found["title"]
    assert "between 0 and 100" in found["line-2-percent"]


def test_what_fits_nowhere_in_the_chain_is_told_at_the_row_it_stands_in() -> None:
    fields = fields_of(practice("hair-tonic.yaml")) | {"step-2-takes": "bulc", "line-3-name": "glycerin"}
    found = told(fields)

    assert "Did you mean 'bulk'" in found["step-2-name"]
    assert "a second time" in found["line-3-name"]


def test_a_row_left_empty_is_no_row_though_something_is_chosen_in_it() -> None:
    fields = fields_of(practice("hair-tonic.yaml"))
    more = fields | {
        "line-9-name": "",
        "line-9-role": "q.s.",
        "step-7-kind": "mix",
        "step-1-set-5-spread": "normal",
        "step-1-set-5-unit": "g",
    }

    assert rows(more, "line") == [1, 2, 3, 4, 5]
    assert rows(more, "step-1-set") == [1, 2]
    assert procedure_from_fields(more) == procedure_from_fields(fields)
