"""A name, a customer or a fact typed wrongly is put right; the old entry stays to be read."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.correcting.entries import correct_entry
from stillroom.actions.house.equipment_and_people import join_person
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.shelf.lot_strength import strength_of_spirit
from stillroom.actions.testing.identity import decide_identity
from stillroom.errors import BadEntry, NotAllowed
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Person


def entry_of(lab: Laboratory, kind: str, code: str) -> int:
    with lab.look() as look:
        found = look.latest(kind, code)
        assert found is not None
        return found.entry_no


@pytest.mark.parametrize(
    ("kind", "code", "field", "text", "found"),
    [
        ("order taken", "ORD-1", "customer", "Señora Ω", lambda look: look.order("ORD-1").customer),
        ("order taken", "ORD-1", "due", "2027-03-01", lambda look: look.order("ORD-1").due),
        ("lot received", "CIN-01", "name", "قشر", lambda look: look.lot("CIN-01").name),
        ("lot received", "CIN-01", "supplier", "Another trader", lambda look: look.lot("CIN-01").supplier),
        ("person joined", "TO", "name", "Tomás Oriel", lambda look: look.person("TO").name),
        ("apparatus added", "SCALE-1", "name", "kitchen scale", lambda look: look.apparatus("SCALE-1").name),
    ],
)
def test_what_was_typed_wrongly_is_put_right_and_both_stay(
    lab: Laboratory, kind, code, field, text, found
) -> None:
    old = entry_of(lab, kind, code)
    done = correct_entry(lab, old, text, line=field, why="typed wrongly", by="MA")

    with lab.look() as look:
        assert found(look) == text
        assert look.entry(old).corrected_by == done.entries[0]


@pytest.mark.parametrize(
    ("code", "field", "text", "found"),
    [
        ("SPI-01", "stated", "93.84 % w/w", lambda lot: lot.stated),
        ("SPI-01", "denatured with", "denatonium benzoate", lambda lot: lot.denatured_with),
        ("GLY-01", "use by", "2027-01-31", lambda lot: lot.use_by),
        ("GLY-01", "owner", "Señora Ω", lambda lot: lot.owner),
        ("GLY-01", "substance", "propanediol", lambda lot: lot.substance),
    ],
)
def test_what_a_receipt_says_of_its_lot_is_corrected_and_the_shelf_stays(
    lab: Laboratory, code, field, text, found
) -> None:
    with lab.look() as look:
        before = look.balance_ug(code)
    correct_entry(lab, entry_of(lab, "lot received", code), text, line=field, why="typed wrongly", by="MA")

    with lab.look() as look:
        assert found(look.lot(code)) == text
        assert look.balance_ug(code) == before


def test_a_corrected_label_is_what_a_sheet_weighs_by_and_is_read_as_at_the_receipt(lab: Laboratory) -> None:
    number = entry_of(lab, "lot received", "SPI-01")
    with pytest.raises(BadEntry, match="stated"):
        correct_entry(lab, number, "90 %", line="stated", why="typed wrongly", by="MA")
    correct_entry(lab, number, "90.0 % v/v at 20 °C", line="stated", why="typed wrongly", by="MA")

    with lab.look() as look:
        assert strength_of_spirit(look, look.lot("SPI-01")).answer.value == pytest.approx(90.0, abs=0.01)


def test_litres_weigh_otherwise_after_their_strength_is_corrected(lab: Laboratory) -> None:
    lot = Lot("SPI-09", LotKind.SPIRIT, "spirit 96 %", "spirit", stated="90.0 % v/v")
    receive_lot(lab, lot, "5 L at 20 °C", by="TO")
    number = entry_of(lab, "lot received", "SPI-09")
    correct_entry(lab, number, "96.0 % v/v at 20 °C", line="stated", why="typed wrongly", by="MA")

    with lab.look() as look:
        # OIML R 22: 96.0 % v/v spirit weighs 807.42 kg/m³ at 20 °C (recalled).
        assert look.balance_ug("SPI-09") / 1e6 == pytest.approx(5 * 807.42, abs=0.5)


def test_a_name_names_one_person(lab: Laboratory) -> None:
    with pytest.raises(BadEntry, match="signs as MA"):
        join_person(lab, Person("MB", "mira  ANSELM", True), by="MA")
    with pytest.raises(BadEntry, match="signs as MA"):
        correct_entry(lab, entry_of(lab, "person joined", "TO"), "Mira Anselm", line="name", why="x", by="MA")


def test_whether_a_person_may_release_is_put_right_by_one_who_may(lab: Laboratory) -> None:
    join_person(lab, Person("NI", "Nele Imhof"), by="MA")
    number = entry_of(lab, "person joined", "NI")
    with pytest.raises(NotAllowed, match="gives that right"):
        correct_entry(lab, number, "yes", line="may release", why="typed wrongly", by="NI")
    correct_entry(lab, number, "yes", line="may release", why="typed wrongly", by="MA")

    with lab.look() as look:
        assert look.person("NI") == Person("NI", "Nele Imhof", True)


@pytest.mark.parametrize("evidence", ["", "ok", " OK. ", "fine"])
def test_an_identity_rests_on_what_was_compared(lab: Laboratory, evidence: str) -> None:
    receive_lot(lab, Lot("CIN-09", LotKind.PLANT, "cinchona bark", "bark"), "1 kg", by="TO")

    with pytest.raises(BadEntry, match="compared with what"):
        decide_identity(lab, "CIN-09", accepted=True, evidence=evidence, by="MA")


def test_a_corrected_order_is_held_to_its_ceiling(lab: Laboratory) -> None:
    old = entry_of(lab, "order taken", "ORD-1")

    with pytest.raises((NotAllowed, BadEntry)):
        correct_entry(
            lab, old, "9 % w/w total alkaloids as quinine", line="aim", why="typed wrongly", by="MA"
        )


def test_what_nobody_had_said_is_filled_in_without_the_reason_of_an_error(lab: Laboratory) -> None:
    order = entry_of(lab, "order taken", "ORD-1")
    correct_entry(lab, order, "not named yet", line="customer", why="withdrew her name", by="MA")
    named = correct_entry(
        lab, entry_of(lab, "order taken", "ORD-1"), "Señora Ω", line="customer", why="", by="MA"
    )
    with lab.look() as look:
        assert look.order("ORD-1").customer == "Señora Ω"
        assert look.entry(named.entries[0]).why == "said later"
    with pytest.raises(BadEntry, match="how the error happened"):
        correct_entry(lab, named.entries[0], "Señor Ψ", line="customer", why="", by="MA")
