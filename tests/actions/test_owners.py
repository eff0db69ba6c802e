"""What belongs to a customer is used for that customer, and does not count as ours when buying."""

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.ordering import work_back
from stillroom.actions.releasing.deciding import release
from stillroom.errors import NotAllowed
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from tests.practice import later

THEIRS = Lot("SPI-09", LotKind.SPIRIT, "spirit 96 %", "spirit of a customer", owner="Barber at the bridge (invented)",
             stated="96.0 % v/v at 20 °C")  # fmt: skip
TICK = ("No flame and no open element in the room",)


def received(lab: Laboratory) -> None:
    receive_lot(lab, THEIRS, "9.000 kg", by="TO", at=later(-4))
    release(lab, "SPI-09", meaning="papers and label agree", by="MA", at=later(-3))


def mixed(order: str, lab: Laboratory) -> None:
    begin_batch(lab, "E8", "bark-extract", "100 g", order=order, by="TO", at=later(-2))
    do_step(
        lab, "E8", "mix spirit",
        [Weighed("stock spirit", "1177 g", "SPI-09", "SCALE-1"), Weighed("water", "594 g", "WAT-01", "SCALE-1")],
        ticks=TICK, by="TO", at=later(-1),
    )  # fmt: skip


def test_a_customers_spirit_is_refused_for_another_customer(lab: Laboratory) -> None:
    received(lab)

    with pytest.raises(NotAllowed, match="used for that customer"):
        mixed("ORD-1", lab)


def test_a_customers_spirit_is_taken_for_the_customer(lab: Laboratory) -> None:
    received(lab)
    mixed("ORD-2", lab)

    with lab.look() as look:
        assert look.balance_ug("SPI-09") == 7_823_000_000


def test_the_buying_list_counts_only_what_is_ours(lab: Laboratory) -> None:
    have = {one.item: one.have for one in work_back(lab, "ORD-1").buying}
    received(lab)
    again = {one.item: one.have for one in work_back(lab, "ORD-1").buying}

    assert again == have
    assert have["all_stock_spirit_g"] == pytest.approx(12_000 - 2944 - 1775 - 2726)
