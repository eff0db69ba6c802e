"""A reagent in the book: ticked, made, opened, tried, used, and over on its day."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory, open_laboratory
from stillroom.actions.correcting.entries import put_right
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.house.pricing import note_price
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.releasing.deciding import release
from stillroom.actions.releasing.lot_waits import waits_for
from stillroom.actions.shelf.reagent_dates import rules_of_lot
from stillroom.actions.testing.precipitate import read_test
from stillroom.actions.testing.reagent_bottles import open_lot, sell_reagent, try_reagent
from stillroom.actions.testing.reagents import allow_reagent, make_reagent
from stillroom.actions.testing.titrant_factors import factor_titrant
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, NotEnough, UnknownName
from stillroom.pages.reagents import (
    show_bottle_label,
    show_reagent_certificate,
    show_reagents,
    show_recipe,
)
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.substances.reagents import reagent_key
from tests.practice import copied, opened

TICKS = ("Hood on, goggles and gloves on", "No ammonia is open in the room")
SEEN = {"sample": "precipitate", "blank": "clear", "positive": "precipitate"}


def test_a_titrant_is_listed_by_the_days_of_its_factor(tmp_path: Path) -> None:
    with opened(copied(tmp_path)) as lab, lab.look() as look:
        rules = rules_of_lot(look, look.lot("NAOH-01"))
        text = " ".join(page_text(show_reagents(lab)).split())

    # 0.1 M NaOH is restandardised weekly (a quality control procedure, second-hand); its factor is of 4 November.
    assert rules[0].last_day == "2026-11-11"
    assert rules[0].says.startswith("its factor")
    assert "2026-11-11: its factor" in text


class Clock:
    """A clock that a test moves."""

    now = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def lab(tmp_path: Path, clock: Clock) -> Iterator[Laboratory]:
    folder = copied(tmp_path)
    with open_laboratory(folder, clock=clock) as opened:
        for code, substance, use_by in (
            ("IOD-1", "iodine", None),
            ("KI-1", "potassium iodide", "2027-04-10"),
        ):
            receive_lot(
                opened, Lot(code, LotKind.REAGENT, substance, substance, use_by=use_by), "50 g", by="TO"
            )
            release(opened, code, meaning="papers", by="MA")
        yield opened


def weighed(iodine: str = "1.27 g") -> list[Weighed]:
    return [
        Weighed("iodine", iodine, "IOD-1"),
        Weighed("potassium iodide", "2.00 g", "KI-1"),
        Weighed("water", "98.0 g", "WAT-01"),
    ]


def made(lab: Laboratory, code: str = "WAG-10", **more):
    told = {
        "code": code,
        "amount": "100 mL",
        "weighed": weighed(),
        "ticks": TICKS,
        "scale": "SCALE-2",
        "by": "TO",
        **more,
    }
    return make_reagent(lab, "wagner", **told)


def test_what_is_made_comes_from_its_lots_and_waits(lab):
    made(lab)
    with lab.look() as look:
        lot, status = look.lot("WAG-10"), look.status("WAG-10")
        came_from = set(look.made_from("WAG-10").lots)
        left_g = look.balance_ug("IOD-1") / 1e6

    assert (lot.kind, lot.substance, status) == (LotKind.REAGENT, "wagner", "waiting")
    assert {"IOD-1", "KI-1", "WAT-01"} <= came_from
    assert left_g == pytest.approx(50.0 - 1.27)


def test_a_reagent_of_which_nothing_was_weighed_can_be_given_another_size(lab):
    nothing = [Weighed(one.line, "0 g", one.lot) for one in weighed()]
    made(lab, weighed=nothing, note="it happened so")
    with lab.look() as look:
        begun = look.begun("WAG-10")
    put_right(lab, begun.entry_no, {"scale": "100 g"}, why="a slip", by="TO")

    with lab.look() as look:
        assert look.batch("WAG-10").scale_g == 100.0
        assert look.batch("WAG-10").planned == begun.body.planned


def test_a_reagent_made_here_is_used_by_a_test_and_expires_there(lab, clock):
    made(lab)
    try_reagent(lab, "WAG-10", blank="clear", positive_control="precipitate", by="TO")
    release(lab, "WAG-10", meaning="tried", by="MA")
    first = read_test(lab, "E1", test="wagner", reagent="WAG-10", **SEEN, by="TO").says
    clock.now += timedelta(days=90)
    later = read_test(lab, "E1", test="wagner", reagent="WAG-10", **SEEN, by="TO").says

    assert "present" in first
    assert "no result" in later
    assert "past its use-by date (2027-02-22, its own life of 90 days) on 2027-02-23" in later


def test_a_reagent_is_not_released_untried_or_after_a_failed_trial(lab):
    made(lab)
    with pytest.raises(NotAllowed, match="not tried on a blank and a positive control"):
        release(lab, "WAG-10", meaning="papers", by="MA")
    try_reagent(lab, "WAG-10", blank="precipitate", positive_control="precipitate", by="TO")
    with pytest.raises(NotAllowed, match="failed its trial"):
        release(lab, "WAG-10", meaning="papers", by="MA")


def test_a_reagent_waits_for_its_trial_until_it_was_tried(lab):
    made(lab)
    waits = []
    for blank in ("precipitate", "clear"):
        try_reagent(lab, "WAG-10", blank=blank, positive_control="precipitate", by="TO")
        with lab.look() as look:
            waits.append(waits_for(look, "WAG-10"))

    assert waits == [
        ("Try it on a blank and a positive control.", "Release by a person who may release."),
        ("Release by a person who may release.",),
    ]


def test_an_opened_bottle_ends_sixty_days_after_it_was_opened(lab, clock):
    made(lab)
    try_reagent(lab, "WAG-10", blank="clear", positive_control="precipitate", by="TO")
    release(lab, "WAG-10", meaning="tried", by="MA")
    open_lot(lab, "WAG-10", by="TO")
    clock.now += timedelta(days=60)

    assert (
        "60 days after it was opened"
        in read_test(lab, "E1", test="wagner", reagent="WAG-10", **SEEN, by="TO").says
    )
    with pytest.raises(BadEntry, match="opened once"):
        open_lot(lab, "WAG-10", by="TO")


def test_a_reagent_ends_with_what_it_was_made_from(lab):
    receive_lot(
        lab, Lot("KI-2", LotKind.REAGENT, "potassium iodide", "old", use_by="2026-12-01"), "50 g", by="TO"
    )
    release(lab, "KI-2", meaning="papers", by="MA")
    lines = [one if one.lot != "KI-1" else Weighed(one.line, one.mass, "KI-2") for one in weighed()]
    made(lab, weighed=lines)
    with lab.look() as look:
        first = rules_of_lot(look, look.lot("WAG-10"))[0]

    assert (first.last_day, first.says) == ("2026-12-01", "made from KI-2, which ends then")


@pytest.mark.parametrize(
    ("bought", "test"),
    [
        ("Mayer's reagent", "mayer"),
        ("MAYER’S REAGENT (USP)", "mayer"),
        ("Wagner reagent", "wagner"),
        ("Folin–Ciocalteu reagent", "folin-ciocalteu"),
        ("Bornträger's reagent", "borntrager"),
        ("Benedict's solution", "fehling-benedict"),
        ("tannic acid", ""),
        ("sodium hydroxide", ""),
    ],
)
def test_a_bought_reagent_is_known_by_the_name_on_its_bottle_and_a_chemical_alone_is_none(bought, test):
    assert reagent_key(bought) == test


def test_a_bought_reagent_fits_its_test_and_one_that_fits_none_is_told_the_name_that_would(lab):
    for code, name in (("B-1", "Mayer's reagent"), ("B-2", "Mayers Reagenz")):
        receive_lot(lab, Lot(code, LotKind.REAGENT, name, name, use_by="2027-04-10"), "50 g", by="TO")
        release(lab, code, meaning="papers", by="MA")

    assert "mayer on E1: present" in read_test(lab, "E1", reagent="B-1", **SEEN, by="TO").says
    with pytest.raises(BadEntry, match=r"received under the name of its test: mayer"):
        read_test(lab, "E1", reagent="B-2", **SEEN, by="TO")


def test_a_warm_room_shortens_what_the_table_says_it_shortens(lab):
    receive_lot(lab, Lot("PEL-1", LotKind.REAGENT, "sodium hydroxide pellets", "pellets"), "100 g", by="TO")
    release(lab, "PEL-1", meaning="papers", by="MA")
    lines = [Weighed("sodium hydroxide", "5.00 g", "PEL-1"), Weighed("water", "97.0 g", "WAT-01")]
    make_reagent(
        lab,
        "sodium-hydroxide",
        code="NAT-1",
        amount="100 mL",
        weighed=lines,
        ticks=("Goggles and gloves on",),
        scale="SCALE-2",
        by="TO",
    )
    note_condition(lab, "room temperature", "35 °C", by="TO")
    with lab.look() as look:
        first = rules_of_lot(look, look.lot("NAT-1"))[0]

    assert first.says == "18 days in a room of 35 °C"


def test_a_reagent_that_failed_its_controls_gives_no_result(lab):
    made(lab)
    try_reagent(lab, "WAG-10", blank="clear", positive_control="precipitate", by="TO")
    release(lab, "WAG-10", meaning="tried", by="MA")
    told = try_reagent(lab, "WAG-10", blank="precipitate", positive_control="precipitate", by="TO").says

    assert "does not serve" in told
    assert (
        "failed its own controls"
        in read_test(lab, "E1", test="wagner", reagent="WAG-10", **SEEN, by="TO").says
    )


def test_a_dangerous_reagent_is_made_only_after_the_tick_of_the_responsible_person(lab):
    before = lab.book.digest()
    with pytest.raises(NotAllowed, match="responsible person's tick"):
        make_reagent(lab, "mayer", code="MAY-1", amount="100 mL", weighed=weighed(), by="TO")
    with pytest.raises(NotAllowed, match="Only the responsible person"):
        allow_reagent(lab, "mayer", allowed=True, why="asked for", by="TO")
    with pytest.raises(BadEntry, match="has its reason"):
        allow_reagent(lab, "mayer", allowed=True, why=" ", by="MA")
    closed = page_text(show_recipe(lab, "mayer", {}))

    assert lab.book.digest() == before
    assert "1.36" not in closed
    assert "Dragendorff" in closed
    assert "waste jar for mercury" in closed
    allow_reagent(lab, "mayer", allowed=True, why="a customer's method asks for it", by="MA")
    assert "1.36" in page_text(show_recipe(lab, "mayer", {}))
    allow_reagent(lab, "mayer", allowed=False, why="not needed any more", by="MA")
    assert "1.36" not in page_text(show_recipe(lab, "mayer", {}))


@pytest.mark.parametrize("name", ["mayer", "hager", "lead-acetate", "liebermann-burchard", "salkowski"])
def test_without_a_laboratory_a_dangerous_recipe_stays_closed(name):
    told = page_text(show_recipe(None, name, {}))

    assert "ticked in a book by the responsible person" in " ".join(told.split())
    assert "A test of lower hazard" in told
    assert "For 100 mL" not in told
    assert "Composition" not in told


@pytest.mark.parametrize(
    ("more", "kind", "says"),
    [
        ({"amount": "none"}, BadEntry, "starts with a number"),
        ({"amount": "-5 mL"}, BadEntry, "cannot be negative"),
        ({"code": "IOD-1"}, BadEntry, "code of its own"),
        ({"code": "<b>"}, BadEntry, "up to 24 letters"),
        ({"ticks": ()}, NotAllowed, "tick that stops harm"),
        ({"weighed": weighed("90 g")}, NotEnough, "holds 50 g"),
        ({"weighed": weighed()[:2]}, BadEntry, "weighed once"),
        (
            {"weighed": [*weighed()[:2], Weighed("water", "98 g", "IOD-1")]},
            BadEntry,
            "must be purified water",
        ),
        ({"scale": "NO-SCALE"}, UnknownName, "NO-SCALE"),
    ],
)
def test_what_cannot_be_made_leaves_the_book_unchanged(lab, more, kind, says):
    before = lab.book.digest()
    with pytest.raises(kind, match=says):
        made(lab, **more)

    assert lab.book.digest() == before


def test_a_reagent_is_not_begun_like_a_formula(lab):
    made(lab)
    with pytest.raises(NotAllowed, match="made from its recipe"):
        begin_batch(lab, "X-1", "wagner", "100 g", by="TO")


def test_sent_twice_it_is_made_once(lab):
    first = made(lab, request_key="key-of-the-form")

    assert made(lab, request_key="key-of-the-form").entries[0] == first.entries[0]


def test_a_reagent_is_sold_in_packs_for_a_price_to_a_buyer_once_its_permit_was_looked_at(lab):
    made(lab)
    try_reagent(lab, "WAG-10", blank="clear", positive_control="precipitate", by="TO")
    release(lab, "WAG-10", meaning="tried", by="MA")
    sale = {
        "amount": "20 g",
        "packs": "2 bottles of 10 g",
        "price": "8.00 EUR",
        "buyer": "Invented School",
        "by": "TO",
    }
    with pytest.raises(NotAllowed, match="permit may be needed"):
        sell_reagent(lab, "WAG-10", **sale)
    with pytest.raises(NotEnough):
        sell_reagent(lab, "WAG-10", **{**sale, "amount": "200 g"}, permit_looked_at=True)
    with pytest.raises(BadEntry, match="buyer"):
        sell_reagent(lab, "WAG-10", **{**sale, "buyer": "a/b"}, permit_looked_at=True)
    told = sell_reagent(lab, "WAG-10", **sale, permit_looked_at=True).says
    with lab.look() as look:
        gone_g = look.balance_ug("WAG-10", "customer/Invented School") / 1e6

    assert gone_g == pytest.approx(20.0)
    assert "8.00 EUR" in told


def test_label_and_certificate_print_and_tell_lot_dates_hazards_and_origin(lab):
    made(lab)
    label, paper = show_bottle_label(lab, "WAG-10"), show_reagent_certificate(lab, "WAG-10")

    assert page_pdf(label).startswith(b"%PDF")
    assert page_pdf(paper).startswith(b"%PDF")
    assert {"WAG-10", "DANGER", "2027-02-22"} <= set(page_text(label).replace(",", " ").split())
    assert "IOD-1" in page_text(paper)
    assert "not a titrant" in page_text(paper)


def test_the_certificate_of_a_titrant_carries_its_factor(lab):
    factor_titrant(
        lab, "NAOH-01", strength="0.0200 mol/L", factor="1.004", factor_standard_uncertainty="0.002", by="TO"
    )

    assert "1.004 of 0.0200 mol/L" in page_text(show_reagent_certificate(lab, "NAOH-01"))


def test_the_list_tells_what_ends_and_what_to_make(lab, clock):
    made(lab)
    clock.now += timedelta(days=120)
    told = page_text(show_reagents(lab))

    assert "WAG-10 ended on 2027-02-22" in told


def test_a_price_in_the_book_is_the_cost_on_the_page(lab):
    before = page_text(show_recipe(lab, "wagner", {}))
    note_price(lab, "iodine", "200 EUR/kg", by="TO")

    assert "Price not stated" in before
    assert "Materials 0.25 EUR" in page_text(show_recipe(lab, "wagner", {"amount": "100 mL"}))
