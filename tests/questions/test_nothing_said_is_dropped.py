"""What was said of a question is used, or refused at its entry: never dropped, and never a traceback."""

import json
from collections.abc import Iterator
from urllib.parse import urlencode

import pytest

import stillroom
from stillroom.errors import BadEntry, StillroomError, UnknownName
from stillroom.web.app import make_app
from tests.pages_in_process import Pages

SPIRIT = {"have": "96 % v/v", "want": "70 % v/v", "amount": "5 L", "temperature": "20 °C"}
ORDER = {
    "product": "Rosemary tonic", "kind": "hair leave-on", "bottles": "24 × 50 mL", "strength": "0.10 % w/w",
    "of": "rosmarinic acid", "plant": "rosemary leaf", "way": "maceration", "due": "2099-06-01",
}  # fmt: skip


@pytest.fixture(scope="module")
def pages() -> Iterator[Pages]:
    opened = Pages(make_app(None))
    yield opened
    opened.close()


def test_a_misspelt_entry_of_an_address_is_refused_with_the_nearest_name(pages: Pages) -> None:
    for suffix in ("", ".json", ".txt", "/lesson"):
        got = pages.get(f"/ask/dilute{suffix}?{urlencode(SPIRIT | {'read-att': '31 °C'})}")
        assert got.status_code == 404
        assert "read-at" in got.text.replace("read-att", "")


def test_an_entry_said_twice_in_one_address_is_asked_about(pages: Pages) -> None:
    for suffix in ("", ".json"):
        got = pages.get(f"/ask/dilute{suffix}?{urlencode([*SPIRIT.items(), ('temperature', '31 °C')])}")
        assert got.status_code == 422
        assert "An entry is said once" in got.text
    twice = pages.get(f"/ask/dilute.json?{urlencode([*SPIRIT.items(), ('temperature', '20 °C ')])}")
    assert twice.status_code == 200


def test_a_setting_of_a_way_is_said_from_python_as_on_the_page(pages: Pages) -> None:
    here = stillroom.order(**ORDER, loss_on_drying="30 %")
    there = json.loads(pages.get(f"/ask/order.json?{urlencode(ORDER | {'loss-on-drying': '30 %'})}").text)
    listed = {one["name"]: one["value"] for one in there["figures"]}
    assert here["plant_g"].value == pytest.approx(listed["plant_g"], rel=1e-9)
    assert here["plant_g"].value != pytest.approx(stillroom.order(**ORDER)["plant_g"].value, rel=1e-9)
    with pytest.raises(UnknownName, match="nonsense"):
        stillroom.order(**ORDER, nonsense="5")


def test_an_order_no_calendar_reaches_is_refused_at_its_bottles() -> None:
    with pytest.raises(BadEntry) as refused:
        stillroom.order(**ORDER | {"bottles": "1000000 × 50 L"})
    assert refused.value.where == "bottles"


COOLED = {"set_ups": "hexane 300 W", "inlet": "24 °C", "flow": "0.5 L/min", "hours": "6 h"}
ACID = {"of": "hydrochloric acid 37 %", "want": "1 mol/L", "amount": "1 L"}
DOSE = {
    "strength": "0.1 %", "matter": "as is", "of": "quinine", "want": "5 %", "bulk": "5 kg", "kind": "hair leave-on",
    "step": "0.01 g",
}  # fmt: skip
FACTOR = {
    "standard": "potassium hydrogen phthalate", "strength": "0.1 mol/L", "mass_1": "0.4085 g", "titre_1": "20.06 mL",
}  # fmt: skip


@pytest.mark.parametrize(
    ("question", "said", "where"),
    [
        ("cooling", COOLED | {"ice": "5 kg"}, "bucket"),
        ("cooling", COOLED | {"pump": "10 W"}, "bucket"),
        ("acid", ACID | {"titrated_plus_minus": "0.06 mol/L"}, "titrated"),
        ("dose", DOSE, "wanted"),
        ("factor", FACTOR | {"blank": "25 mL"}, "titre-1"),
        ("order", ORDER | {"hours_a_day": "30 h"}, "hours-a-day"),
    ],
)
def test_what_cannot_be_used_is_told_at_an_entry(question: str, said: dict[str, str], where: str) -> None:
    with pytest.raises(StillroomError) as refused:
        getattr(stillroom, question)(**said)
    assert refused.value.where == where


@pytest.mark.parametrize(
    ("strength", "of"),
    [
        ("0.10 %", "total alkaloids as quinine"),
        ("0.10 % as quinine", "total alkaloids"),
        ("1 g/kg", "rosmarinic acid"),
    ],
)
def test_a_strength_of_an_order_is_read_with_what_stands_beside_it(strength: str, of: str) -> None:
    assert stillroom.order(**ORDER | {"strength": strength, "of": of})["plant_g"].value > 0


def test_a_strength_of_an_order_that_cannot_be_read_is_told_with_the_other_slips() -> None:
    with pytest.raises(StillroomError, match=r"(?s)bottles.*strength"):
        stillroom.order(**ORDER | {"strength": "12 parsecs", "bottles": "x"})
