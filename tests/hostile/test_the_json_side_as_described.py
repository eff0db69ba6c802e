"""Whatever is asked of the JSON side, the answer is one that its description tells of, never a fault of the program.

Requests are made by Schemathesis from the description: some as it says, some against it. A share runs in every check;
``STILLROOM_STUDY=1`` asks 50,000.
"""

import os
import re
import warnings
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from stillroom.web.description import AT, description
from stillroom.web.forms import JOINED
from tests.hostile.conftest import House
from tests.long_form import SEED
from tests.web.conftest import reading as reading
from tests.web.conftest import told as told

REQUESTS = int(os.environ.get("STILLROOM_REQUESTS", "0")) or (
    50_000 if os.environ.get("STILLROOM_STUDY") else 250
)


def cases(app: Any) -> st.SearchStrategy[Any]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import schemathesis
        from schemathesis import GenerationMode

        schema = schemathesis.openapi.from_dict(description(app))
        found = [one.ok() for one in schema.get_all_operations()]
        return st.one_of(
            *(
                one.as_strategy(generation_mode=mode)
                for one in found
                for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
            )
        )


def test_every_request_has_an_answer_that_the_description_tells_of(reading: Any) -> None:
    codes = st.sampled_from(("CIN-01", "E1", "T1", "ORD-1", "2026-11", "153", "x", "bark-extract"))
    asked: dict[int, int] = {}

    @seed(SEED)
    @settings(
        max_examples=REQUESTS, database=None, deadline=None,
        phases=(Phase.generate,), suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(case=cases(reading.client.app), known=st.none() | codes)
    def ask(case: Any, known: str | None) -> None:
        given = {name: known or value for name, value in (case.path_parameters or {}).items()}
        address = re.sub(r"{(\w+)}", lambda found: quoted(given.get(found[1], "")), case.operation.path)
        answer = reading.client.request(case.method, address, params=case.query or None)
        asked[answer.status_code] = asked.get(answer.status_code, 0) + 1
        told_of = case.operation.definition.raw["responses"]
        assert str(answer.status_code) in told_of, (case.method, str(answer.url), answer.status_code)
        if answer.status_code == 200:
            assert {"title", "kind", "blocks", "figures", "practice"} <= answer.json().keys()
        elif answer.status_code not in (400, 403):
            assert answer.json()["says"]

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ask()
    assert asked[200] > REQUESTS / 20
    assert sum(number for status, number in asked.items() if status >= 400) > REQUESTS / 20


def quoted(value: Any) -> str:
    from urllib.parse import quote

    return quote(str(value), safe="", errors="replace") or "%20"


def test_every_twin_is_described_and_nothing_else(reading: Any) -> None:
    paths = reading.client.get(AT).json()["paths"]

    assert {"/stock.json", "/orders/{code}.json", "/ask/dilute.json", "/laboratory.json"} <= paths.keys()
    assert all(path.endswith(".json") and set(held) == {"get"} for path, held in paths.items())
    names = [one["operationId"] for held in paths.values() for one in held.values()]
    assert len(set(names)) == len(names)


def test_no_phone_and_no_stranger_is_given_the_description(house: House) -> None:
    assert house.laptop().get(AT).status_code == 200
    phone = house.phone()
    assert JOINED in phone.cookies
    assert phone.get(AT).status_code == 403
    assert house.stranger().get(AT).status_code == 403
    elsewhere = house.client_of("http://127.0.0.1:8017")
    assert elsewhere.get(AT, headers={"host": "lab.example"}).status_code == 403


@pytest.mark.parametrize("name", ["dilute", "acid", "dose"])
def test_a_question_is_described_with_its_entries(reading: Any, name: str) -> None:
    from stillroom.questions import declared

    asked = reading.client.get(AT).json()["paths"][f"/ask/{name}.json"]["get"]["parameters"]

    assert [one["name"] for one in asked] == [one.name for one in declared(name).entries]
