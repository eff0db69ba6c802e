"""Procedures written and altered in the browser: nothing changes by itself, and every slip stands at its field."""

import re
from dataclasses import replace
from html import unescape
from typing import Any

import pytest

from stillroom.records.from_yaml import procedure_to_yaml
from tests.web.filled_in import fields_in

CODES = ("bark-extract", "hair-tonic")
NEW = "/make/procedures/new"


def last(bench: Any, code: str) -> Any:
    with bench.lab.look() as look:
        return look.procedure(code)


def send(bench: Any, path: str, fields: dict[str, str], **changed: str) -> Any:
    return bench.client.post(
        path, data={**fields, "by": "MA", "do": "write", **changed}, follow_redirects=False
    )


@pytest.mark.parametrize("code", CODES)
def test_a_practice_procedure_opened_and_sent_as_it_is_comes_back_unchanged(bench: Any, code: str) -> None:
    before = last(bench, code)
    path = f"/make/procedures/{code}/alter"
    answer = send(bench, path, fields_in(bench.client.get(path).text))

    assert (answer.status_code, answer.headers["location"]) == (303, f"/make/procedures/{code}")
    assert last(bench, code) == replace(before, version=before.version + 1)


@pytest.mark.parametrize("code", CODES)
def test_the_form_turned_into_text_and_back_is_the_same_form(bench: Any, code: str) -> None:
    path = f"/make/procedures/{code}/alter"
    form = fields_in(bench.client.get(path).text)
    text = fields_in(send(bench, path, form, do="as-text").text)
    again = fields_in(send(bench, path, text, do="as-form").text)
    told = {name for name, value in form.items() if value and name not in ("request_key", "by")}

    assert (
        text["text"].strip()
        == procedure_to_yaml(replace(last(bench, code), version=last(bench, code).version + 1)).strip()
    )
    assert {name: again.get(name) for name in told} == {name: form[name] for name in told}


def test_a_formula_written_as_text_is_kept(bench: Any, said: Any) -> None:
    text = procedure_to_yaml(
        replace(last(bench, "hair-tonic"), code="calm-tonic", version=1, title="Calm tonic")
    )
    answer = send(bench, NEW, {"view": "text", "text": text})

    assert answer.headers["location"] == "/make/procedures/calm-tonic"
    assert last(bench, "calm-tonic").title == "Calm tonic"
    assert "Calm tonic" in said(bench.client.get("/make/procedures").text)


def test_a_new_formula_begins_as_a_plain_base_and_is_written_with_three_words(bench: Any) -> None:
    form = fields_in(bench.client.get(NEW).text)
    answer = send(bench, NEW, form, code="plain-base", title="A plain base", makes="plain base")
    kept = last(bench, "plain-base")

    assert answer.status_code == 303
    assert (kept.version, kept.purpose) == (1, "formula")
    assert [line.role for line in kept.lines].count("q.s.") == 1


def test_a_line_added_to_a_formula_goes_into_its_one_blending(bench: Any) -> None:
    path = "/make/procedures/hair-tonic/alter"
    form = fields_in(send(bench, path, fields_in(bench.client.get(path).text), do="line").text)
    named = {"line-6-name": "humectant", "line-6-substance": "propanediol", "line-6-percent": "2"}
    answer = send(bench, path, form, **named)
    kept = last(bench, "hair-tonic")

    assert answer.status_code == 303
    assert "humectant" in kept.steps[0].takes
    assert "humectant" in kept.steps[0].weighs
    assert "humectant" not in kept.steps[1].takes


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("title", "", "Fill it in"),
        ("line-2-percent", "120", "between 0 and 100"),
        ("line-2-percent", "1,500,0", "1,500,0"),
        ("line-2-substance", "glycerinne", "is not an ingredient"),
        ("step-1-kind", "blendd", "Did you mean &#39;blend&#39;"),
        ("step-1-hands", "60 g", "time"),
        ("step-1-cautions", "flamable-vapour", "Did you mean &#39;flammable-vapour&#39;"),
        ("step-1-set-1-value", "2", "share from 0 to 1"),
        ("step-1-set-1-doubt", "", "needs its standard uncertainty"),
        ("step-1-ticks", "one\ntwo\nthree\nfour", "at most 3 ticks"),
        ("step-2-takes", "bulc", "Did you mean &#39;bulk&#39;"),
    ],
)
def test_a_slip_is_told_and_nothing_is_written_and_all_that_was_typed_is_kept(
    bench: Any, field: str, typed: str, says: str
) -> None:
    path = "/make/procedures/hair-tonic/alter"
    before = bench.digest()
    form = fields_in(bench.client.get(path).text)
    answer = send(bench, path, form, **{field: typed, "notes": "kept word for word"})
    again = fields_in(answer.text)

    assert answer.status_code in (404, 422)
    assert says in answer.text
    assert "Nothing was saved" in answer.text
    assert bench.digest() == before
    assert again["notes"].strip() == "kept word for word"
    assert again[field].strip() in (typed, "")


def test_a_slip_stands_at_its_own_field(bench: Any) -> None:
    path = "/make/procedures/hair-tonic/alter"
    form = fields_in(bench.client.get(path).text)
    page = send(bench, path, form, **{"line-2-percent": "120", "step-1-hands": "60 g"}).text

    assert 'id="line-2-percent-error"' in page
    assert 'id="step-1-hands-error"' in page


def test_a_formula_over_100_percent_says_so_at_its_lines(bench: Any, said: Any) -> None:
    path = "/make/procedures/hair-tonic/alter"
    form = fields_in(bench.client.get(path).text)
    told = said(send(bench, path, form, **{"line-1-percent": "99", "line-2-percent": "2"}).text)

    assert "must leave something for 'water'" in told
    assert "sum to 101.5 %" in told


def test_the_shares_and_what_is_to_be_thought_of_are_shown_before_it_is_written(
    bench: Any, said: Any
) -> None:
    path = "/make/procedures/hair-tonic/alter"
    before = bench.digest()
    told = said(send(bench, path, fields_in(bench.client.get(path).text), do="look").text)

    assert "The stated shares sum to 37 %; water fills up the other 63 %" in told
    assert "Flash point near" in told
    assert bench.digest() == before


def test_choosing_a_kind_shows_what_it_asks_and_writes_nothing(bench: Any, said: Any) -> None:
    path = f"{NEW}?purpose=extraction"
    before = bench.digest()
    form = fields_in(bench.client.get(path).text)
    answer = send(bench, NEW, form, **{"step-1-kind": "filter", "step-1-name": "filter it"}, do="look-1")
    again = fields_in(answer.text)

    assert "Takes" in said(answer.text)
    assert [
        name for name in again if name.startswith("step-1-set-") and name.endswith("-name") and again[name]
    ]
    assert bench.digest() == before


def test_a_step_tells_what_it_may_be_told_besides(bench: Any, said: Any) -> None:
    page = said(bench.client.get("/make/procedures/bark-extract/alter").text)

    assert "stop_at_ml (mark on the flask at which it stops)" in page
    assert "half_gone_min (minutes there after which half is gone)" in page


def test_rows_are_added_left_out_and_put_between_without_scripts(bench: Any) -> None:
    path = "/make/procedures/bark-extract/alter"
    form = fields_in(bench.client.get(path).text)
    between = fields_in(send(bench, path, form, do="step-after-2").text)
    fewer = fields_in(send(bench, path, between, do="drop-step-3").text)
    setting = fields_in(send(bench, path, form, do="set-2").text)

    assert (between["step-2-name"], between["step-3-name"], between["step-4-name"]) == (
        "moisten",
        "",
        "percolate",
    )
    assert "step-3-name" not in fewer
    assert fewer["step-4-name"] == "percolate"
    assert setting["step-2-set-2-name"] == ""


def test_a_prohibited_plant_is_refused_at_its_field_and_never_written(bench: Any) -> None:
    path = "/make/procedures/bark-extract/alter"
    before = bench.digest()
    form = fields_in(bench.client.get(path).text)
    answer = send(bench, path, form, **{"line-1-substance": "aconite root"})

    assert answer.status_code in (409, 422)
    assert 'id="line-1-substance-error"' in answer.text
    assert bench.digest() == before


def test_a_prohibited_solvent_is_refused_at_its_field_and_never_written(bench: Any) -> None:
    path = "/make/procedures/bark-extract/alter"
    before = bench.digest()
    form = fields_in(bench.client.get(path).text)
    answer = send(bench, path, form, **{"line-6-substance": "chloroform"})

    assert 'id="line-6-substance-error"' in answer.text
    assert bench.digest() == before


def test_markup_in_a_procedure_is_shown_as_text(bench: Any) -> None:
    nasty = "<script>alert(1)</script>"
    form = fields_in(bench.client.get(NEW).text)
    send(bench, NEW, form, code="plain", title=nasty, makes=nasty, notes=nasty)
    pages = [
        bench.client.get(path).text for path in ("/make/procedures", "/make/procedures/plain", "/make/new")
    ]

    assert last(bench, "plain").title == nasty
    assert not any(nasty in page for page in pages)


def test_a_form_sent_twice_is_written_once(bench: Any) -> None:
    path = "/make/procedures/hair-tonic/alter"
    form = fields_in(bench.client.get(path).text)
    first, second = send(bench, path, form), send(bench, path, form)

    assert (first.status_code, second.status_code) == (303, 303)
    assert last(bench, "hair-tonic").version == 2


def test_a_butter_without_water_or_active_is_written_from_the_base_of_oil(bench: Any, said: Any) -> None:
    first = bench.client.get(NEW).text
    address = re.search(rf'href="({NEW}[^"]*base=oil)"', first)
    assert address, "the page of a formula offers no base without water"
    form = fields_in(bench.client.get(unescape(address[1])).text)
    numbers = {form[name]: name for name in form if re.fullmatch(r"line-\d+-name", name)}
    wax, extract = numbers["beeswax"].removesuffix("-name"), numbers["extract"].removesuffix("-name")
    form |= {f"{wax}-name": "shea butter", f"{wax}-substance": "shea butter", f"{wax}-percent": "60"}
    form = fields_in(send(bench, NEW, form, do=f"drop-{extract}").text)
    answer = send(bench, NEW, form, code="butter", title="Hand butter", makes="hand butter")

    assert answer.status_code == 303, said(answer.text)
    assert {line.name for line in last(bench, "butter").lines} == {"shea butter", "tocopherol", "oil"}
    assert last(bench, "butter").product_type == "skin leave-on"
    assert last(bench, "butter").steps[0].weighs[-1] == "bulk", (
        "the bulk is weighed after all that goes into it"
    )
    ticks = [tick for step in last(bench, "butter").steps for tick in step.ticks]
    assert ticks == ["Water bath, no flame", "Every vessel is dry"], (
        "nothing is dosed, and no tick says it was"
    )
