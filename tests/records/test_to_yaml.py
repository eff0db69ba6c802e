"""A record written out reads back as the same record, whatever a person put into it."""

import string
from importlib.resources import files

from hypothesis import given
from hypothesis import strategies as st

from stillroom.records.from_yaml import (
    laboratory_from_yaml,
    order_from_yaml,
    order_to_yaml,
    procedure_from_yaml,
    procedure_to_yaml,
)
from stillroom.records.orders import NO_STRENGTH, Order, StatedStrength
from stillroom.records.procedures import Line, Procedure, Setting, Step
from stillroom.records.setting_from_text import is_share, printed_unit

SEEN = st.characters(
    exclude_categories=("Cc", "Cs", "Zl", "Zp"),
    exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069",
)
TRICKY = st.sampled_from(
    [
        "no",
        "null",
        "~",
        "- a",
        "a: b",
        "#x",
        "x # y",
        "'",
        '"',
        "%",
        "@",
        "1e3",
        "[a]",
        "{b}",
        "a, b",
        "|",
        "&x",
        "*x",
        "!y",
        "…",
        "---",
        "?",
        "=",
    ]
)
NAMES = (
    (TRICKY | st.text(SEEN, min_size=1, max_size=20)).map(lambda text: " ".join(text.split())).filter(bool)
)
NOTES = st.lists(st.text(SEEN, max_size=12) | TRICKY | st.just(""), max_size=4).map(
    lambda lines: "\n".join(lines).strip()
)
CODES = st.text(string.ascii_letters + string.digits + "-._", min_size=1, max_size=12).map(
    lambda text: "A" + text
)
ABOVE_ZERO = st.floats(1e-9, 1e9)
SHARES = st.floats(1e-6, 1 - 1e-6)


@st.composite
def orders(draw):
    least, aim = sorted(draw(st.tuples(st.floats(1e-6, 100), st.floats(1e-6, 100))))
    of, reckoned_as = draw(st.sampled_from([("total alkaloids", "quinine"), ("phenols", "gallic acid")]))

    def strength(percent: float) -> StatedStrength:
        return StatedStrength(percent, of, reckoned_as, f"{percent!r} % w/w {of} as {reckoned_as}")

    plain = draw(st.booleans())
    return Order(
        code=draw(CODES),
        customer=draw(NAMES),
        product=draw(NAMES),
        formula=draw(CODES),
        extraction="" if plain else draw(CODES),
        product_type=draw(NAMES),
        market=draw(NAMES),
        units=draw(st.integers(1, 1_000_000)),
        nominal_ml=draw(ABOVE_ZERO),
        aim=NO_STRENGTH if plain else strength(aim),
        at_least=NO_STRENGTH if plain else strength(least),
        due=draw(st.dates()).isoformat(),
        how_sure_percent=draw(st.floats(50, 99.9)),
        notes=draw(NOTES),
    )


@st.composite
def settings_of_a_step(draw):
    name = draw(
        st.sampled_from(
            ["liquid_ml_per_g", "soak_min", "bath_c", "lost_share", "ph", "shakes", "drip_ml_per_min_kg"]
        )
    )
    spread = draw(st.sampled_from(["fixed", "normal", "lognormal", *(["logit"] if is_share(name) else [])]))
    origins = ["assumed", "published", "measured"] + (["chosen"] if spread == "fixed" else [])
    return Setting(
        name,
        draw(SHARES if is_share(name) else ABOVE_ZERO),
        printed_unit(name),
        spread,
        0.0 if spread == "fixed" else draw(SHARES),
        draw(st.sampled_from(origins)),
        draw(NOTES),
    )


@st.composite
def procedures(draw):
    purpose = draw(st.sampled_from(["extraction", "formula", "reagent"]))
    names = draw(st.lists(NAMES, min_size=2, max_size=7, unique=True))
    cut = draw(st.integers(1, len(names) - 1))
    taken, given_names = names[:cut], names[cut:]
    roles = draw(st.sampled_from([("q.s.", "dosed"), ("", "")]))
    lines = tuple(
        Line(name, draw(NAMES), None, role, draw(NAMES | st.just("")), draw(NAMES | st.just("")))
        if (role := roles[number] if number < len(roles) else "") or purpose == "extraction"
        else Line(name, draw(NAMES), draw(st.just(0.0) | st.floats(1e-9, 100)), "", draw(NAMES | st.just("")))
        for number, name in enumerate(taken)
    )
    steps = []
    for number, (given_name, step_name) in enumerate(
        zip(given_names, draw(st.permutations(given_names)), strict=True)
    ):
        takes = tuple(taken) if number == 0 else (given_names[number - 1],)
        steps.append(
            Step(
                name=step_name,
                kind=draw(NAMES),
                says=draw(NOTES.filter(bool)),
                takes=takes,
                gives=(given_name,),
                settings=tuple(
                    draw(st.lists(settings_of_a_step(), max_size=3, unique_by=lambda one: one.name))
                ),
                weighs=draw(st.sampled_from([(), (given_name,), (*takes, given_name)])),
                ticks=tuple(draw(st.lists(NAMES, max_size=3, unique=True))),
                cautions=tuple(draw(st.lists(NAMES, max_size=3, unique=True))),
                hands_min=draw(st.just(0.0) | ABOVE_ZERO),
                watch_min=draw(st.just(0.0) | ABOVE_ZERO),
                free_min=draw(st.just(0.0) | ABOVE_ZERO),
                longest_wait_min=draw(st.none() | ABOVE_ZERO),
            )
        )
    return Procedure(
        code=draw(CODES),
        version=draw(st.integers(1, 1000)),
        title=draw(NAMES),
        purpose=purpose,
        makes=draw(NAMES),
        scaled_by=draw(st.sampled_from(taken)),
        lines=lines,
        steps=tuple(steps),
        markers=tuple(draw(st.lists(NAMES, max_size=3))),
        keeps_days=draw(st.integers(0, 5000)),
        product_type=draw(NAMES | st.just("")),
        notes=draw(NOTES),
        claims=draw(NOTES),
        label_text=draw(NOTES),
    )


@given(orders())
def test_an_order_written_out_reads_back_the_same(order):
    assert order_from_yaml(order_to_yaml(order)) == order


@given(procedures())
def test_a_procedure_written_out_reads_back_the_same(procedure):
    assert procedure_from_yaml(procedure_to_yaml(procedure)) == procedure


def test_an_order_is_written_as_a_person_would():
    strength = StatedStrength(0.3, "total alkaloids", "quinine", "0.300 % w/w total alkaloids as quinine")
    order = Order(
        "ORD-1",
        "Invented",
        "Tonic",
        "tonic",
        "bark",
        "hair leave-on",
        "EU",
        40,
        100.0,
        strength,
        strength,
        "2027-01-29",
    )

    assert order_to_yaml(order) == (
        "order: ORD-1\ncustomer: Invented\nproduct: Tonic\nformula: tonic\nextraction: bark\n"
        "kind: hair leave-on\nmarket: EU\nbottles: 40 × 100 mL\naim: 0.300 % w/w total alkaloids as quinine\n"
        "declared at least: 0.300 % w/w total alkaloids as quinine\ndue: 2027-01-29\nhow sure: 95 %\n"
    )


def test_words_that_do_not_say_the_strength_are_not_written_out():
    aim = StatedStrength(0.3, "total alkaloids", "quinine", "a third of a per cent")
    least = StatedStrength(0.2, "total alkaloids", "quinine", "0.25 % w/w total alkaloids as quinine")
    order = Order(
        "ORD-1",
        "Invented",
        "Tonic",
        "tonic",
        "bark",
        "hair leave-on",
        "EU",
        40,
        100.0,
        aim,
        least,
        "2027-01-29",
    )

    read = order_from_yaml(order_to_yaml(order))

    assert (read.aim.percent, read.at_least.percent) == (0.3, 0.2)


def test_the_procedures_of_the_practice_laboratory_read_back_the_same():
    shelf = files("stillroom.demo").joinpath("practice")
    names = ("bark-extract.yaml", "hair-tonic.yaml")
    read = {name: procedure_from_yaml(shelf.joinpath(name).read_bytes(), name) for name in names}

    for procedure in read.values():
        assert procedure_from_yaml(procedure_to_yaml(procedure)) == procedure


def test_the_orders_and_the_laboratory_of_practice_are_read():
    practice = files("stillroom.demo").joinpath("practice")
    orders = [
        order_from_yaml(one.read_bytes(), one.name)
        for one in practice.iterdir()
        if one.name.startswith("ORD")
    ]

    assert laboratory_from_yaml(practice.joinpath("laboratory.yaml").read_bytes()).practice
    assert orders
    for order in orders:
        assert order_from_yaml(order_to_yaml(order)) == order
