"""What a laboratory writes is read, kept as written, or asked back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.errors import BadEntry, StillroomError, UnknownName
from stillroom.quantities.basis import Basis
from stillroom.quantities.numbers import number_in
from stillroom.quantities.parse import parse
from tests.quantities.strategies import quantities

READ = [
    ("500 mL", 500.0, "mL"),
    ("500mL", 500.0, "mL"),
    ("71,6 g", 71.6, "g"),
    ("11 lbs", 11.0, "lb"),
    ("2.5 US gallons", 2.5, "US gal"),
    ("1 gal (US)", 1.0, "US gal"),
    ("1 imperial gallon", 1.0, "UK gal"),
    ("3 U.S. fl oz", 3.0, "US fl oz"),
    ("2 UK pints ± 5 % of it (k = 2)", 2.0, "UK pint"),
    ("96,25 % v/v", 96.25, "%"),
    ("0,500 g", 0.5, "g"),
    ("1234,567 g", 1234.567, "g"),
    ("1\u202f500,5 g", 1500.5, "g"),
    ("0,1 mol/dm³", 0.1, "mol/L"),
    ("9.2 g/100 mL", 9.2, "g/100 mL"),
    ("96 per cent v/v", 96.0, "%"),
    ("500 ml", 500.0, "mL"),
    ("2.0 kg", 2.0, "kg"),
    ("20.06 mL", 20.06, "mL"),
    ("0.0200 mol/L", 0.02, "mol/L"),
    ("0.02 M", 0.02, "mol/L"),
    ("31 °C", 31.0, "°C"),
    ("31 C", 31.0, "°C"),
    ("−5 °C", -5.0, "°C"),
    ("1.5e3 g", 1500.0, "g"),
    ("1.5 × 10^3 g", 1500.0, "g"),
    ("1.5×10⁻³ g", 0.0015, "g"),
    ("5 \u03bcg", 5.0, "µg"),
    ("5 mcg", 5.0, "µg"),
    ("1\u2009500 g", 1500.0, "g"),
    ("1\u202f500 g", 1500.0, "g"),
    ("5\u202f%\u00a0w/w", 5.0, "%"),
    ("12 500\u00a0mL".replace(" ", "\u00a0"), 12500.0, "mL"),
    ("50 bottles", 50.0, "bottles"),
    ("12.50 EUR", 12.5, "EUR"),
    ("EUR 12.50", 12.5, "EUR"),
    ("18.00 EUR/kg", 18.0, "EUR/kg"),
    ("4 h", 4.0, "h"),
    ("24 months", 24.0, "months"),
    ("70 % v/v", 70.0, "%"),
    ("3 ‰ w/w", 3.0, "‰"),
    ("0.885 g/mL", 0.885, "g/mL"),
    ("1.500,0 g", 1500.0, "g"),
    ("1,500.0 g", 1500.0, "g"),
    ("1,234,567 g", 1234567.0, "g"),
    ("½ L", 0.5, "L"),
    ("1½ L", 1.5, "L"),
    ("1 1/2 L", 1.5, "L"),
    ("3/4 L", 0.75, "L"),
    ("٥ g", 5.0, "g"),
    ("١٢٫٥ g", 12.5, "g"),
    ("１２．５　ｇ", 12.5, "g"),
    ("१२ g", 12.0, "g"),
    ("5 grammes", 5.0, "g"),
    ("96 % en volume", 96.0, "%"),
    ("96 % vol à 20 °C", 96.0, "%"),
    ("5 mg/dL", 5.0, "mg/100 mL"),
]

ASKED_BACK = [
    ("1,500 g", "Write 1500 g or 1.5 g"),
    ("1'500 g", "Write 1500 g or 1.5 g"),
    ("1 500 g", "Write 1500 if the space only groups"),
    ("15\u2009000\u200900 g", "threes"),
    (".5 g", "Write 0.5 g"),
    ("5. g", "Write 5 g"),
    ("60-70 % v/v", "not a range"),
    ("60 to 70 % v/v", "not a range"),
    ("< 5 mg", "a limit has its own field"),
    ("about 5 g", "one number"),
    ("4 x 100 mL", "Write 400 mL for all of them, or 100 mL for one"),
    ("1/3 L", "Write 0.5"),
    ("2 1/22 L", "without spaces"),
    ("1.500,00,0 g", "one reading"),
    ("35,500,0 g", "one point and no grouping"),
    ("100 mg%", "mg/100 g or mg/100 mL"),
    ("5 gallons", "Write US gal, UK gal or L"),
    ("5 fl oz", "Write US fl oz"),
    ("20°", "thermometer or of a scale"),
    ("0.1 normal", "mol/L"),
    ("10 gr", "grain"),
    ("5 drops", "no fixed size"),
    ("0.1 N", "mol/L"),
    ("5 ML", "megalitre"),
    ("$12", "12.50 USD"),
    ("50", "A unit is needed"),
    ("g", "starts with a number"),
    ("20 mL ± 0.03", "how wide"),
    ("20 mL ± 0.03 g (k = 2)", "must be in mL"),
    ("96 % v/v ± 1 % (k = 2)", "1 % of it"),
    ("5 L kg", "with one unit"),
    ("5 L, 6 L", "with one unit"),
    ("5 kg g", "with one unit"),
    ("96 % v/v kg", "not a basis"),
    ("5 g w/w", "Only a content"),
    ("5 mg/mL w/w", "w/v by itself"),
    ("5 % w/w w/v", "once"),
    ("7 % w/w as is dried basis", "not both"),
    ("7 % w/w !?#", "not a basis"),
    ("7 % w/w of .", "not a basis"),
    ("90 min sharp", "Nothing can follow a time"),
    ("1 in 20", "basis"),
    ("20 in 1 w/w", "smaller than its whole"),
]

REFUSED = [
    ("-3 g", "cannot be negative"),
    ("nan g", "starts with a number"),
    ("inf g", "starts with a number"),
    ("1e999 g", "size a laboratory can weigh"),
    ("120 % w/w", "more than the whole"),
    ("100.1 % v/v", "more than the whole"),
    ("-300 °C", "below"),
    ("-1 K", "below"),
    ("2.5 bottles", "whole number"),
    ("", "nothing"),
    ("   ", "nothing"),
    ("5\x00 g", "cannot be seen"),
    ("5\u200b g", "cannot be seen"),
    ("5 \u202eg", "cannot be seen"),
    ("9" * 300 + " g", "200 characters"),
    ("9" * 60 + " g", "size a laboratory can weigh"),
    ("0.1 % w/w " + "very " * 30 + "long", "not a basis"),
]


@pytest.mark.parametrize(("text", "value", "symbol"), READ)
def test_what_a_laboratory_writes_is_read(text, value, symbol):
    found = parse(text)

    assert found.value == value
    assert found.unit == symbol
    assert found.as_written == text


@pytest.mark.parametrize(("text", "reading"), ASKED_BACK)
def test_what_could_mean_two_things_is_asked_back_with_its_readings(text, reading):
    with pytest.raises(BadEntry, match=reading.replace(".", r"\.").replace("?", r"\?")):
        parse(text)


@pytest.mark.parametrize(("text", "reason"), REFUSED)
def test_what_cannot_be_is_refused_politely(text, reason):
    with pytest.raises(BadEntry, match=reason) as refusal:
        parse(text)

    assert len(str(refusal.value)) < 400


def test_the_full_strength_of_an_extract_is_read():
    found = parse("38.4 % w/w total alkaloids as quinine, as is, ± 1.2 (k = 2)")

    assert found.fraction == pytest.approx(0.384, abs=1e-15)
    assert found.basis == Basis("w/w", "total alkaloids", "quinine", "as is")
    assert found.standard_uncertainty == pytest.approx(0.6, abs=1e-15)
    assert found.coverage_factor == 2
    assert (found.decimals, found.digits) == (1, 3)


def test_the_words_of_a_basis_may_come_in_any_order():
    one = parse("38.4 % w/w of extract as is, total alkaloids as quinine")
    two = parse("38.4 % total alkaloids (w/w), calculated as quinine, in the extract, as is")

    assert one.basis == two.basis == Basis("w/w", "total alkaloids", "quinine", "as is", "extract")


@pytest.mark.parametrize(
    ("text", "basis"),
    [
        ("0.100 % w/w as quinine", Basis("w/w", reckoned_as="quinine")),
        ("0.100 % m/m as quinine base", Basis("w/w", reckoned_as="quinine")),
        ("0.2 % w/w as base, in product", Basis("w/w", carrier="product", form="base")),
        ("96 % v/v at 20 °C", Basis("v/v", reference_temperature_c=20.0)),
        ("40 % by volume", Basis("v/v")),
        ("40 % by mass", Basis("w/w")),
        ("40 % vol", Basis("v/v")),
        (
            "7.1 % w/w as the mean of quinine and cinchonine",
            Basis("w/w", None, "mean of quinine and cinchonine"),
        ),
        ("7.9 % w/w of bark on dried basis", Basis("w/w", matter="dried", carrier="bark")),
        ("7.9 % w/w on the dried bark", Basis("w/w", matter="dried", carrier="bark")),
        ("229.4 mg/g as gallic acid of extract", Basis("w/w", None, "gallic acid", None, "extract")),
        (
            "0.1 % w/w oil of lavender in the hair tonic",
            Basis("w/w", "oil of lavender", carrier="hair tonic"),
        ),
        ("5 % w/w of lavender", Basis("w/w", "lavender")),
        ("2 % w/w quinine in nail polish", Basis("w/w", "quinine", carrier="nail polish")),
        ("15 g/L glycerol", Basis("w/v", "glycerol")),
        ("15.05 g total alkaloids as quinine", Basis(None, "total alkaloids", "quinine")),
    ],
)
def test_the_trades_ways_of_saying_a_basis_are_understood(text, basis):
    assert parse(text).basis == basis


def test_a_no_break_space_between_words_is_a_space():
    pasted = parse("38.4\u00a0% w/w total\u00a0alkaloids as\u00a0quinine, as\u00a0is")

    assert pasted.basis == Basis("w/w", "total alkaloids", "quinine", "as is")


def test_the_figures_shown_are_kept():
    assert (parse("0.100 % w/w").decimals, parse("0.100 % w/w").digits) == (3, 3)
    assert (parse("0.0200 mol/L").decimals, parse("0.0200 mol/L").digits) == (4, 3)
    assert (parse("500 mL").decimals, parse("500 mL").digits) == (0, 3)
    assert (parse("1.5e3 g").decimals, parse("1.5e3 g").digits) == (-2, 2)
    assert number_in("20.060").digits == 5
    assert parse("0.100 % w/w as quinine").in_words() == "0.100 % w/w as quinine"


def test_one_part_in_twenty_is_five_per_cent_and_one_plus_nineteen_too_by_mass():
    assert parse("1 in 20 w/v").fraction == pytest.approx(0.05, abs=1e-15)
    assert parse("1 + 19 w/w").fraction == pytest.approx(0.05, abs=1e-15)


def test_a_percentage_without_basis_is_taken_only_where_the_field_has_one_by_definition():
    loss = parse("9.5 %", by_definition=Basis("w/w", of="loss on drying"))
    plain = parse("60 %", basis_required=False)

    assert loss.basis == Basis("w/w", of="loss on drying")
    assert plain.basis.is_empty
    with pytest.raises(BadEntry, match="more than the whole"):
        parse("120 %", by_definition=Basis("w/w"))


def test_a_definition_never_overrules_what_was_written():
    found = parse("9.5 % w/v", by_definition=Basis("w/w"))

    assert found.basis.ratio == "w/v"


def test_five_per_cent_hydrochloric_acid_names_its_four_readings():
    with pytest.raises(BadEntry, match="Four readings") as refusal:
        parse("5 % HCl")

    sentence = str(refusal.value)
    assert all(
        part in sentence for part in ("w/w", "w/v", "from the bottle made up to 100 mL", "diluted by volume")
    )


def test_a_tolerance_is_read_as_a_rectangle():
    # GUM 4.3.7: half width over the square root of three (from-memory).
    found = parse("20 mL ± 0.03 (tolerance)")

    assert found.standard_uncertainty == pytest.approx(0.03 / math.sqrt(3), rel=1e-12)


def test_a_field_says_which_dimension_it_takes():
    with pytest.raises(BadEntry, match="A mass is needed here"):
        parse("500 mL", want="mass")
    with pytest.raises(BadEntry, match="A mass or a volume is needed here"):
        parse("500 s", want=("mass", "volume"))

    assert parse("50 jars", want="count").value == 50
    assert parse("3.20 EUR", want="money").unit == "EUR"


def test_an_unknown_unit_is_answered_with_the_nearest_ones():
    with pytest.raises(UnknownName, match="grams"):
        parse("5 gramms")


def test_negative_and_zero_are_allowed_only_where_the_field_says_so():
    with pytest.raises(BadEntry, match="above zero"):
        parse("0 g", zero_allowed=False)

    assert parse("-0.02 g", negative_allowed=True).value == -0.02


def test_the_error_tells_where_the_entry_stands():
    with pytest.raises(BadEntry, match=r"^order\.yaml, line 4: "):
        parse("1,500 g", where="order.yaml, line 4")


@given(quantities())
def test_a_printed_quantity_reads_back_as_the_same_quantity(quantity):
    again = parse(quantity.in_words(), basis_required=False)

    assert again.value == quantity.value
    assert (again.unit, again.basis, again.coverage_factor) == (
        quantity.unit,
        quantity.basis,
        quantity.coverage_factor,
    )
    assert (again.standard_uncertainty or 0.0) == pytest.approx(
        quantity.standard_uncertainty or 0.0, rel=1e-10
    )


@given(st.decimals(min_value=0, max_value=10**9, places=4).map(lambda one: f"{one} g"))
def test_a_written_number_is_printed_with_the_figures_it_was_written_with(text):
    found = parse(text)

    assert found.in_words() == text


def understood(text):
    """The quantity, or None where the answer was one of our sentences; any other error passes through."""
    try:
        return parse(text)
    except StillroomError:
        return None


@given(st.text(max_size=250))
def test_no_text_whatever_raises_anything_but_a_sentence(text):
    found = understood(text)

    assert found is None or math.isfinite(found.value)


_SCRAPS = (
    "1 5 , . e % ‰ w/w of as oil dried is ± ( ) (k=2) in g mL at 20 °C - + ×10 ^ \u2009 "
    "bark u = / : tolerance HCl ; EUR"
)


@given(st.lists(st.sampled_from([*_SCRAPS.split(" "), " "]), max_size=14).map("".join))
def test_no_heap_of_scraps_of_the_language_raises_anything_but_a_sentence(text):
    found = understood(text)

    assert found is None or parse(found.in_words()).basis == found.basis


@given(
    st.lists(st.sampled_from(_SCRAPS.split(" ")), max_size=9).map(lambda words: "5 % w/w " + " ".join(words))
)
def test_no_string_of_words_after_a_content_raises_anything_but_a_sentence(text):
    found = understood(text)

    assert found is None or parse(found.in_words()).basis == found.basis


@pytest.mark.parametrize(
    ("written", "same"),
    [
        ("70 vol%", "70 % v/v"),
        ("70 Vol.-% ± 0.3 vol% (k = 2)", "70 % v/v ± 0.3 (k = 2)"),
        ("5 wt.-% as quinine, as is", "5 % w/w as quinine, as is"),
        ("5 Gew.-% as quinine, as is", "5 % w/w as quinine, as is"),
        ("5 Masse-% as quinine, as is", "5 % w/w as quinine, as is"),
        ("5 % p/p as quinine, as is", "5 % w/w as quinine, as is"),
        ("5 % p/v as quinine", "5 % w/v as quinine"),
        ("5 weight percent", "5 % w/w"),
        ("2 mass%", "2 % w/w"),
        ("5000 ft", "1524 m"),
        ("14 €/L", "14 EUR/L"),
        ("€ 12.50", "12.50 EUR"),
    ],
)
def test_a_percent_of_volume_or_mass_feet_and_the_euro_sign_are_read(written, same):
    said, known = parse(written), parse(same)
    assert said.in_unit(known.unit) == pytest.approx(known.value, rel=1e-12)
    assert (said.basis, said.standard_uncertainty) == (known.basis, known.standard_uncertainty)
