"""An order from a file or a form: taken whole, or refused with every sentence at once."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, StillroomError, UnknownName
from stillroom.records.from_yaml import SeveralBadEntries, order_from_fields, order_from_yaml
from stillroom.records.orders import Order, StatedStrength

FIELDS = {
    "order": "ORD-1",
    "customer": "Invented Customer",
    "product": "Bark hair tonic",
    "formula": "hair-tonic",
    "extraction": "bark-extract",
    "kind": "hair leave-on",
    "market": "EU",
    "bottles": "40 × 100 mL",
    "aim": "0.300 % w/w total alkaloids as quinine",
    "declared at least": "0.280 % w/w total alkaloids as quinine",
    "due": "2027-01-29",
    "how sure": "90 %",
    "notes": "Ring before delivery",
}
LINES = list(FIELDS)
WANTED = Order(
    code="ORD-1",
    customer="Invented Customer",
    product="Bark hair tonic",
    formula="hair-tonic",
    extraction="bark-extract",
    product_type="hair leave-on",
    market="EU",
    units=40,
    nominal_ml=100.0,
    aim=StatedStrength(0.3, "total alkaloids", "quinine", "0.300 % w/w total alkaloids as quinine"),
    at_least=StatedStrength(0.28, "total alkaloids", "quinine", "0.280 % w/w total alkaloids as quinine"),
    due="2027-01-29",
    how_sure_percent=90.0,
    notes="Ring before delivery",
)


def file_with(**changes: str | None) -> str:
    fields = FIELDS | {key.replace("_", " "): value for key, value in changes.items()}
    return "".join(f"{key}: {value}\n" for key, value in fields.items() if value is not None)


def test_an_order_is_read_whole():
    assert order_from_yaml(file_with()) == WANTED


def test_a_form_gives_the_same_order_as_a_file():
    assert order_from_fields(FIELDS) == WANTED


@pytest.mark.parametrize("written", ["0.100 % w/w rosmarinic acid", "1 mg/g rosmarinic acid"])
def test_an_order_of_one_compound_takes_what_a_plan_takes(written):
    order = order_from_yaml(file_with(aim=written, declared_at_least="0.08 % w/w rosmarinic acid"))

    assert order.aim.percent == pytest.approx(0.1, rel=1e-14)
    assert (order.aim.of, order.aim.reckoned_as) == ("rosmarinic acid", "rosmarinic acid")


def test_keys_may_be_written_with_capitals_underscores_and_hyphens():
    text = file_with().replace("declared at least", "Declared_at-least").replace("how sure", "How Sure")

    assert order_from_yaml(text) == WANTED


def test_how_sure_and_notes_may_be_left_out():
    order = order_from_yaml(file_with(how_sure=None, notes=None))

    assert (order.how_sure_percent, order.notes) == (95.0, "")


@pytest.mark.parametrize(
    ("written", "units", "nominal_ml"),
    [
        ("40 x 100 mL", 40, 100.0),
        ("40x100ml", 40, 100.0),
        ("40 × 0.25 L", 40, 250.0),
        ("40 bottles of 50 mL", 40, 50.0),
        ("1 * 5 L", 1, 5000.0),
    ],
)
def test_bottles_are_written_as_number_times_content(written, units, nominal_ml):
    order = order_from_yaml(file_with(bottles=written))

    assert (order.units, order.nominal_ml) == (units, nominal_ml)


def test_milligrams_in_a_gram_are_a_share_by_mass():
    order = order_from_yaml(file_with(aim="3 mg/g total alkaloids as quinine"))

    assert order.aim.percent == pytest.approx(0.3, rel=1e-14)


@pytest.mark.parametrize(
    ("key", "written", "sentence"),
    [
        ("bottles", "1,500 × 100 mL", "Write 1500 or 1.5"),
        ("bottles", "40 × 1,500 mL", "Write 1500 mL or 1.5 mL"),
        ("bottles", "40", "number × content"),
        ("bottles", "40 × 100 °C", "A volume or a mass is needed here"),
        ("bottles", "40 × 100", "A unit is needed"),
        ("bottles", "2.5 × 100 mL", "A whole number"),
        ("bottles", "-4 × 100 mL", "A whole number"),
        ("bottles", "0 × 100 mL", "At least one bottle"),
        ("bottles", "40 × 0 mL", "above zero"),
        ("bottles", "40 × -100 mL", "cannot be negative"),
        ("aim", "120 %", "cannot be more than 100 %"),
        ("aim", "120 % w/w total alkaloids as quinine", "ends at 100 %"),
        ("aim", "-0.3 % w/w total alkaloids as quinine", "cannot be negative"),
        ("aim", "0 % w/w total alkaloids as quinine", "above zero"),
        ("aim", "0.3 %", "Write it like '0.3 % w/w total alkaloids as quinine'"),
        ("aim", "0.3 % w/w", "Write it like '0.3 % w/w total alkaloids as quinine'"),
        ("aim", "0.3 % w/w total alkaloids", "Write it like '0.3 % w/w total alkaloids as quinine'"),
        ("aim", "0.3 % w/w as quinine", "Write it like '0.3 % w/w total alkaloids as quinine'"),
        ("aim", "0.3 % w/w as rosmarinic acid", "Write it like '0.3 % w/w rosmarinic acid'"),
        ("aim", "0.3 % w/w rosmarinic acid as quinine", "Write it like '0.3 % w/w rosmarinic acid'"),
        ("declared at least", "0.2 % w/w caffeine as gallic acid", "counted as itself"),
        ("aim", "0.3 % w/v total alkaloids as quinine", "by mass, of the product as it is"),
        ("aim", "0.3 % w/w total alkaloids as quinine, of extract", "strength of the product"),
        ("aim", "0.3 % w/w total alkaloids as quinine, dried", "of the product as it is"),
        ("aim", "0.3 % w/w total alkaloids as quinine, u = 0.1", "not a measurement"),
        ("aim", "3,000,0 % w/w total alkaloids as quinine", "one point"),
        ("aim", "3 g", "A ratio is needed here"),
        ("due", "29 days", "year-month-day"),
        ("due", "29.1.27", "year-month-day"),
        ("due", "9/1/2027", "one reading"),
        ("due", "2027-02-29", "in the calendar"),
        ("how sure", "0.95", "between 50 and 99.9 %"),
        ("how sure", "49.9 %", "between 50 and 99.9 %"),
        ("how sure", "100 %", "between 50 and 99.9 %"),
        ("how sure", "very", "A number is needed"),
        ("order", "ORD/1", "letters, digits"),
        ("formula", "hair tonic", "letters, digits"),
        ("customer", "[a, b]", "'customer' is one text"),
        ("customer", "x" * 201, "must fit in 200 characters"),
        ("customer", '"a\\u202eb"', "characters that can be seen"),
        ("kind", "", "An order needs 'kind'"),
    ],
)
def test_what_cannot_be_taken_is_told_with_its_line(key, written, sentence):
    with pytest.raises(BadEntry) as told:
        order_from_yaml(file_with(**{key.replace(" ", "_"): written}), "order.yaml")

    assert sentence in str(told.value)
    assert told.value.where == f"order.yaml:{LINES.index(key) + 1}"
    assert "\n" not in str(told.value)


@pytest.mark.parametrize(
    ("least", "sentence"),
    [
        ("0.31 % w/w total alkaloids as quinine", "must reach what is declared"),
        ("0.2 % w/w total alkaloids as cinchonine", "the same basis"),
        ("0.2 % w/w quinine as quinine", "the same basis"),
    ],
)
def test_aim_and_declared_strength_hold_together(least, sentence):
    with pytest.raises(BadEntry, match=sentence) as told:
        order_from_yaml(file_with(declared_at_least=least), "order.yaml")

    assert told.value.where == "order.yaml:10"


def test_aim_and_declared_strength_may_be_equal():
    order = order_from_yaml(file_with(declared_at_least=FIELDS["aim"]))

    assert order.aim == order.at_least


def test_a_misspelt_key_is_told_with_its_line_and_the_nearest_key_and_nothing_else():
    with pytest.raises(UnknownName) as told:
        order_from_yaml(file_with().replace("bottles:", "bottels:"), "order.yaml")

    assert str(told.value) == (
        "order.yaml:8: 'bottels' is not a key of an order known here. Did you mean 'bottles'?"
    )


def test_a_key_that_stands_twice_is_told():
    with pytest.raises(BadEntry, match="'DUE' a second time") as told:
        order_from_yaml(file_with() + "DUE: 2027-01-30\n", "order.yaml")

    assert told.value.where == "order.yaml:14"


def test_a_missing_key_is_told():
    with pytest.raises(BadEntry, match="An order needs 'market'"):
        order_from_yaml(file_with(market=None))


@pytest.mark.parametrize("text", ["just words", "- a\n- b\n"])
def test_a_file_that_is_no_mapping_is_one_sentence(text):
    with pytest.raises(BadEntry, match="An order is written as keys and values") as told:
        order_from_yaml(text)

    assert "\n" not in str(told.value)


def test_all_slips_of_a_file_are_told_together_in_the_order_of_the_file():
    text = file_with(bottles="40", due="soon", kind=None).replace("market:", "markt:")

    with pytest.raises(SeveralBadEntries) as told:
        order_from_yaml(text, "order.yaml")

    assert [one.where for one in told.value.errors] == [
        "order.yaml:1",
        "order.yaml:6",
        "order.yaml:7",
        "order.yaml:10",
    ]
    assert str(told.value).splitlines() == [str(one) for one in told.value.errors]
    assert isinstance(told.value, BadEntry)


def test_a_file_of_nothing_but_slips_tells_the_first_twenty():
    with pytest.raises(SeveralBadEntries) as told:
        order_from_yaml("".join(f"zz{n}: 1\n" for n in range(500)), "order.yaml")

    assert len(told.value.errors) == 21
    assert str(told.value).endswith("more cannot be taken. Correct these first.")


def test_a_form_names_the_field():
    with pytest.raises(SeveralBadEntries) as told:
        order_from_fields(FIELDS | {"due": "soon", "aim": "120 %", "market": " "})

    assert {one.where for one in told.value.errors} == {"due", "aim", "market"}


def test_a_field_the_form_did_not_send_is_named():
    with pytest.raises(BadEntry) as told:
        order_from_fields({key: value for key, value in FIELDS.items() if key != "aim"})

    assert told.value.where == "aim"


@given(
    st.dictionaries(st.sampled_from(LINES), st.text(max_size=30) | st.from_regex(r"[0-9.,×x %-]{0,9}")),
    st.booleans(),
)
def test_nothing_typed_brings_forth_any_other_error(changes, as_form):
    fields = FIELDS | changes
    try:
        if as_form:
            order = order_from_fields(fields)
        else:
            order = order_from_yaml("".join(f"{key}: {value}\n" for key, value in fields.items()))
    except StillroomError:
        return

    assert order.units >= 1
    assert order.nominal_ml > 0
    assert 0 < order.at_least.percent <= order.aim.percent <= 100
    assert 50 <= order.how_sure_percent <= 99.9
