"""A laboratory of one's own in the browser: begun beside the practice one, furnished, asked how it is."""

import re
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from stillroom.actions.book.laboratory import BOOK_FILE, begin_laboratory
from stillroom.actions.house.house_facts import last_condition
from stillroom.actions.house.other_laboratories import laboratories_beside
from stillroom.actions.house.pins import has_pin
from stillroom.errors import BookTrouble
from stillroom.records.people import Person
from stillroom.web.app import make_app
from stillroom.web.house_forms import asked_condition
from tests.web.conftest import ADDRESS, Bench, now, words


@pytest.fixture
def practice(tmp_path: Path) -> Iterator[Bench]:
    """A practice laboratory with nothing in it, and its pages."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from fastapi.testclient import TestClient
    first = Person("MA", "Mira Anselm", True)
    with begin_laboratory(tmp_path / "tried", "For practice", first, practice=True, clock=now) as lab:
        app = make_app(lab)
        with TestClient(app, base_url=ADDRESS) as client:
            yield Bench(lab, client)
        app.state.lab.book.close()


def served(bench: Bench) -> Any:
    return bench.client.app.state.lab


def begin(bench: Bench, **fields: str) -> Any:
    typed = {"name": "House on the hill", "person": "Ada Maria Berg", **fields}
    return bench.client.post("/laboratory/new", data=typed, follow_redirects=False)


def test_ones_own_laboratory_is_begun_beside_the_practice_one_and_served(practice: Bench) -> None:
    answer = begin(practice)
    lab = served(practice)
    with lab.look() as look:
        begun, people = look.book(), look.people()

    assert answer.status_code == 303
    assert lab.folder == practice.lab.folder.parent / "house-on-the-hill"
    assert (begun.laboratory, begun.practice, begun.altitude_m) == ("House on the hill", False, None)
    assert [(one.code, one.may_release) for one in people] == [("AMB", True)]
    assert "Practice laboratory" not in practice.client.get("/bench").text


def test_every_page_of_the_practice_laboratory_says_that_it_is_invented(practice: Bench) -> None:
    for path in ("/bench", "/laboratory", "/laboratory/others", "/laboratory/new", "/make/procedures"):
        assert "Practice laboratory: invented data" in practice.client.get(path).text


def test_a_laboratory_of_the_same_name_never_goes_over_another(practice: Bench) -> None:
    begin(practice)
    first = served(practice).folder
    begin(practice)

    assert served(practice).folder == first.parent / "house-on-the-hill-2"
    assert (first / BOOK_FILE).exists()


@pytest.mark.parametrize("field", ["name", "person"])
def test_a_laboratory_needs_its_name_and_its_person(practice: Bench, field: str) -> None:
    answer = begin(practice, **{field: " "})

    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text
    assert len(laboratories_beside(practice.lab.folder)) == 1


def test_a_name_that_is_no_folder_stays_within_its_place(practice: Bench) -> None:
    begin(practice, name="../../etc/<b>passwd</b>")

    assert served(practice).folder.parent == practice.lab.folder.parent
    assert "<b>passwd" not in practice.client.get("/laboratory").text


def test_laboratories_beside_each_other_are_listed_and_another_is_opened(practice: Bench) -> None:
    begin(practice)
    listed = words(practice.client.get("/laboratory/others").text)
    answer = practice.client.post("/laboratory/open", data={"folder": "tried"}, follow_redirects=False)

    assert "For practice practice: invented data" in listed
    assert "House on the hill in earnest" in listed
    assert answer.status_code == 303
    assert served(practice).folder == practice.lab.folder
    assert "invented data" in practice.client.get("/bench").text


def test_a_form_of_one_laboratory_never_writes_into_another(practice: Bench) -> None:
    typed = {"code": "CAL-1", "kind": "plant material", "substance": "calendula flower", "name": "flowers"}
    form = practice.client.get("/stock/new").text
    hidden = dict(re.findall(r'type="hidden" name="([a-z_-]+)" value="([^"]*)"', form))
    begin(practice)
    with served(practice).look() as look:
        entries, signs = look.head.entry_no, look.people()[0].code
    answer = practice.client.post(
        "/stock/new", data=hidden | typed | {"amount": "100 g", "by": signs}, follow_redirects=False
    )

    assert hidden["book"]
    assert answer.status_code == 409
    assert "typed for another laboratory" in words(answer.text)
    with served(practice).look() as look:
        assert look.head.entry_no == entries


def test_a_pin_of_one_laboratory_is_never_set_in_another(practice: Bench) -> None:
    form = practice.client.get("/laboratory/people/MA/pin").text
    hidden = dict(re.findall(r'type="hidden" name="([a-z_-]+)" value="([^"]*)"', form))
    begin(practice, person="Mira Anselm")
    typed = hidden | {"new": "7291", "again": "7291", "by": "MA"}
    answer = practice.client.post("/laboratory/people/MA/pin", data=typed, follow_redirects=False)

    assert answer.status_code == 409
    assert "typed for another laboratory" in words(answer.text)
    assert not has_pin(served(practice), "MA")


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="what is open is told by Linux")
def test_a_laboratory_that_is_left_is_closed_and_who_reads_in_it_reads_to_the_end(practice: Bench) -> None:
    """Each stayed open with all that was kept of it until the pages were ended."""

    def held() -> set[str]:
        handles = [Path(one) for one in Path("/proc/self/fd").iterdir()]
        named = {str(one.readlink()) for one in handles if one.is_symlink()}
        return {one for one in named if Path(one).is_relative_to(practice.lab.folder.parent)}

    with practice.lab.look() as look:
        entries = look.head.entry_no
        begin(practice)
        assert len(list(look.entries())) == entries
    first = practice.client.get("/bench")
    practice.client.post("/laboratory/open", data={"folder": "tried"}, follow_redirects=False)
    again = practice.client.get("/bench")

    assert (first.status_code, again.status_code) == (200, 200)
    assert held()
    assert all(Path(one).is_relative_to(served(practice).folder) for one in held())


@pytest.mark.parametrize("folder", ["../tried", "nowhere", "", "/etc"])
def test_a_folder_that_is_no_laboratory_beside_this_one_is_not_opened(practice: Bench, folder: str) -> None:
    answer = practice.client.post("/laboratory/open", data={"folder": folder}, follow_redirects=False)

    assert answer.status_code == 404
    assert served(practice) is practice.lab


def test_a_folder_with_a_broken_book_is_listed_and_not_offered(practice: Bench) -> None:
    broken = practice.lab.folder.parent / "broken"
    broken.mkdir()
    (broken / BOOK_FILE).write_bytes(b"no book at all")
    page = practice.client.get("/laboratory/others").text

    assert "cannot be read" in page
    assert 'value="broken"' not in page


def test_another_origin_cannot_begin_or_open_a_laboratory(practice: Bench) -> None:
    for path in ("/laboratory/new", "/laboratory/open"):
        answer = practice.client.post(path, data={"folder": "tried"}, headers={"origin": "http://elsewhere"})

        assert answer.status_code == 403


# What it has


def add(bench: Bench, page: str, **fields: str) -> Any:
    typed = {name.replace("_", "-"): value for name, value in fields.items()}
    return bench.client.post(f"/laboratory/{page}/new", data={"by": "MA", **typed}, follow_redirects=False)


@pytest.mark.parametrize(
    ("page", "step", "code", "value", "unit", "name"),
    [
        ("scales", "0.01 g scale", "SCALE-1", 0.01, "g", "0.01 g scale"),
        ("scales", "0.01", "SCALE-1", 0.01, "g", "0.01 g scale"),
        ("scales", "10 mg", "SCALE-1", 0.01, "g", "10 mg scale"),
        ("measures", "1 mL measuring cylinder", "MEAS-1", 1.0, "mL", "1 mL measuring cylinder"),
        ("thermometers", "0.1 °C", "THERM-1", 0.1, "°C", "0.1 °C thermometer"),
        ("burettes", "0.05", "BUR-1", 0.05, "mL", "0.05 mL burette"),
        ("heaters", "10 W", "HEAT-1", 10.0, "W", "10 W heater"),
    ],
)
def test_one_figure_puts_an_instrument_into_use(
    practice: Bench, page: str, step: str, code: str, value: float, unit: str, name: str
) -> None:
    answer = add(practice, page, smallest_step=step)
    with practice.lab.look() as look:
        found = look.apparatus(code)

    assert answer.status_code == 303
    assert (found.smallest_step, found.unit, found.name) == (pytest.approx(value), unit, name)
    assert found.standard_uncertainty == found.smallest_step
    assert found.largest is None


def test_an_uncertainty_that_was_said_is_kept_and_the_next_code_offered(practice: Bench) -> None:
    add(practice, "scales", smallest_step="0.01", standard_uncertainty="0.02", largest="600", code="SCALE-1")
    page = practice.client.get("/laboratory/scales/new").text
    with practice.lab.look() as look:
        found = look.apparatus("SCALE-1")

    assert (found.standard_uncertainty, found.largest) == (0.02, 600.0)
    assert 'value="SCALE-2"' in page


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"smallest_step": "0.1 mL"}, "smallest-step"),
        ({"smallest_step": "fine"}, "smallest-step"),
        ({"smallest_step": "0"}, "smallest-step"),
        ({"smallest_step": "0.1", "largest": "0.01"}, "largest"),
        ({"smallest_step": "0.1", "standard_uncertainty": "some"}, "standard-uncertainty"),
    ],
)
def test_an_instrument_that_cannot_be_is_told_at_its_field(
    practice: Bench, fields: dict[str, str], field: str
) -> None:
    before = practice.digest()
    answer = add(practice, "scales", **fields)

    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text
    assert answer.text.count('class="error"') == 1
    assert practice.digest() == before


def test_a_person_signs_by_initials_and_a_code_in_use_is_refused(practice: Bench) -> None:
    add(practice, "people", name="Mona Adler", release="no")
    refused = add(practice, "people", name="Jo Hale", code="MA", release="no")
    with practice.lab.look() as look:
        people = [(one.code, one.name, one.may_release) for one in look.people()]

    assert people == [("MA", "Mira Anselm", True), ("MA2", "Mona Adler", False)]
    assert refused.status_code == 422
    assert 'id="code-error"' in refused.text


def test_the_house_is_asked_and_the_last_value_offered_with_its_age_and_never_filled_in(
    practice: Bench,
) -> None:
    empty = asked_condition(practice.lab, "room temperature")
    add(practice, "conditions", what="room temperature", value="31")
    found = last_condition(practice.lab, "room temperature")
    offered = asked_condition(practice.lab, "room temperature")
    page = practice.client.get("/laboratory/conditions/new?what=room+temperature").text

    assert found is not None
    assert found.value == 31.0
    assert (empty.value, offered.value) == ("", "")
    assert offered.hint == "31 °C, noted today 09:00"
    assert 'name="value" type="text" value=""' in page


def test_a_price_is_noted_and_a_slip_stands_at_its_field(practice: Bench) -> None:
    add(practice, "prices", of="rosemary leaf", price="14 EUR/kg")
    refused = add(practice, "prices", of="stock spirit", price="14 EUR/kg")

    assert "14 EUR/kg" in practice.client.get("/laboratory").text
    assert refused.status_code == 422
    assert 'id="price-error"' in refused.text


EMPTY = {
    "/bench": "Take an order",
    "/orders": "order",
    "/stock": "Receive",
    "/make": "Begin",
    "/make/procedures": "No procedure is written yet",
    "/test": "Receive a plant lot",
    "/products": "Nothing has been made yet",
    "/trace": "nothing to trace yet",
    "/laboratory": "No instrument is in use yet",
}


def test_a_form_that_can_offer_no_procedure_says_what_to_write_first(practice: Bench) -> None:
    page = practice.client.get("/make/new").text

    assert "No way of extracting is written yet" in words(page)
    assert 'href="/make/starters"' in page


@pytest.mark.parametrize("path", EMPTY)
def test_every_empty_page_says_what_to_put_there_first(practice: Bench, path: str) -> None:
    assert EMPTY[path] in words(practice.client.get(path).text)


@pytest.mark.parametrize("address", ["postgresql+psycopg://lab/book", "postgresql:///book", "postgres://x"])
def test_the_address_of_a_database_is_no_folder_for_a_laboratory(
    tmp_path: Path, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder of that name was made without a word."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BookTrouble, match="with --at-server"):
        begin_laboratory(Path(address), "Own", Person("MA", "Mira Anselm", True), clock=now)

    assert list(tmp_path.iterdir()) == []
    begin_laboratory(tmp_path / "one:two", "Own", Person("MA", "Mira Anselm", True), clock=now).book.close()


@pytest.mark.parametrize("code", ["SCALE-1", "MA"])
def test_an_instrument_entered_in_two_tabs_under_one_code_is_asked_for_another(
    practice: Bench, code: str
) -> None:
    """The second took the place of the first, and what was read on that became a reading of this."""
    fields = {"name": "kitchen scale", "smallest_step": "1", "largest": "3000", "code": "SCALE-1", "by": "MA"}
    assert practice.fill("/laboratory/scales/new", **fields).status_code == 303
    other = practice.fill(
        "/laboratory/scales/new", **fields | {"name": "pocket scale", "smallest_step": "0.01", "code": code}
    )
    again = practice.fill("/laboratory/scales/new", **fields)

    assert (other.status_code, again.status_code) == (422, 303)
    assert "Every instrument has a code of its own" in words(other.text)
    assert 'id="code-error"' in other.text
    with practice.lab.look() as look:
        assert [(one.name, one.smallest_step) for one in look.apparatus_list()] == [("kitchen scale", 1.0)]
