"""The account of spirit of the practice laboratory: it closes, from movements alone, and asks for what is unknown."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.ethanol_known import EthanolKnown
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.lots.spirit_account import month_of, spirit_account
from stillroom.actions.lots.stock_movements import count_stock
from stillroom.actions.releasing.deciding import release
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry
from stillroom.pages.spirit_month import show_spirit
from stillroom.planning.forecast import Charge
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.substances.spirits import spirit_mass_fraction
from tests.practice import copied, opened

MONTH = "2026-11"
ETHANOL_96 = spirit_mass_fraction(0.96)


def test_bought_and_used_are_the_weighings_times_the_strength_on_the_label(told: Laboratory) -> None:
    account = spirit_account(told, MONTH).account

    assert account.sum_g("bought") == pytest.approx(12_000 * ETHANOL_96)
    assert account.sum_g("used") == pytest.approx((2944 + 1775 + 2726) * ETHANOL_96)
    spirit = next(one for one in account.standing if one.lot == "SPI-01")
    assert spirit.end_g == pytest.approx((12_000 - 2944 - 1775 - 2726) * ETHANOL_96)


def test_the_month_of_the_practice_laboratory_closes_and_says_so(told: Laboratory) -> None:
    found = spirit_account(told, MONTH)
    account = found.account

    assert found.questions == ()
    assert abs(account.unexplained_g) < 0.01 * account.sum_g("used")
    assert all(not one.is_asked_about for one in account.batches)
    assert account.unexplained_g == pytest.approx(sum(one.unexplained_g for one in account.batches), abs=1e-6)
    assert "closes" in page_text(show_spirit(told, MONTH))


def test_each_batch_names_its_losses_and_none_is_found_by_taking_the_rest(told: Laboratory) -> None:
    account = spirit_account(told, MONTH).account
    bark = next(one for one in account.batches if one.batch == "E1")

    assert bark.recovered_g > 0.9 * bark.used_g
    assert {"vapour past the condenser", "evaporated while dripping"} <= set(account.losses_g)
    assert bark.unexplained_g not in account.losses_g.values()
    assert bark.whole is not None
    assert bark.whole.unexplained_g == pytest.approx(bark.unexplained_g)


def test_what_is_in_bottles_is_the_bulk_that_was_filled(told: Laboratory) -> None:
    account = spirit_account(told, MONTH).account
    tonic = next(one for one in account.batches if one.batch == "T1")

    # 1775 g of 96 % in 5000 g of bulk is 33.3 % by mass; 51 bottles of about 96 g
    assert tonic.products_g == pytest.approx(51 * 95.95 * 1775 * ETHANOL_96 / 5000, rel=0.01)


def test_a_month_before_the_first_lot_is_empty_and_says_what_to_do(told: Laboratory) -> None:
    assert "No spirit in this month" in page_text(show_spirit(told, "2026-10"))


def test_a_label_by_mass_in_a_volume_is_not_counted_as_one_by_volume(tmp_path: Path) -> None:
    with opened(copied(tmp_path)) as lab:
        lot = Lot("SPI-50", LotKind.SPIRIT, "spirit 50 %", "spirit", stated="50 % w/v at 20 °C")
        receive_lot(lab, lot, "1 kg", by="TO")
        with lab.look() as look:
            share = EthanolKnown(look).share("SPI-50").by_mass

    # Searched outside this code from OIML R 22: 50 g in 100 mL is 63.352 % v/v; 50 % v/v would be 42.43 % w/w.
    assert share == pytest.approx(spirit_mass_fraction(0.63352), abs=2e-5)
    assert share > 0.55


@pytest.mark.parametrize("month", ["2026", "2026-13", "november", "2026-1"])
def test_what_is_no_month_is_told_how_a_month_is_written(month: str) -> None:
    with pytest.raises(BadEntry, match="A month is written 2027-03"):
        month_of(month, date(2026, 11, 24))


def test_a_month_that_has_not_begun_has_no_account(told: Laboratory) -> None:
    with pytest.raises(BadEntry, match="has begun"):
        spirit_account(told, "2027-01")


def test_a_lot_that_says_no_strength_is_asked_about_and_not_guessed(lab: Laboratory) -> None:

    receive_lot(lab, Lot("SPI-09", LotKind.SPIRIT, "spirit 96 %", "spirit"), "1.000 kg", by="TO")
    found = spirit_account(lab, MONTH)

    assert any("SPI-09 says no strength" in one for one in found.questions)
    assert found.account.sum_g("bought") == pytest.approx(12_000 * ETHANOL_96)


def test_spirit_missing_at_a_count_is_asked_about(lab: Laboratory) -> None:

    count_stock(lab, "SPI-01", found="4.000 kg", by="TO")
    found = spirit_account(lab, MONTH)

    assert dict(found.counts)["SPI-01"] == pytest.approx((4.555 - 4.0) * ETHANOL_96)
    assert any("SPI-01" in one and "less was found" in one for one in found.questions)


def test_looking_writes_nothing(told: Laboratory) -> None:
    with told.look() as look:
        before = look.head
    show_spirit(told, MONTH)

    with told.look() as look:
        assert look.head == before


def test_a_month_rests_on_what_was_weighed_in_and_is_not_calculated_again_for_what_came_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with opened(copied(tmp_path)) as lab:
        before = spirit_account(lab, MONTH).account
        with lab.look() as look:
            weaker = replace(look.lot("SPI-01"), code="SPI-09", stated="60 % v/v")
        receive_lot(lab, weaker, "2 kg", by="TO")
        release(lab, "SPI-09", meaning="its label is read", by="MA")
        monkeypatch.setattr(Charge, "of", None)  # a stream that is run again would not be found
        after = spirit_account(lab, MONTH).account

    assert "SPI-09" in {one.lot for one in after.standing} | {one.name for one in after.flows}
    assert after.batches == before.batches
    assert after.losses_g == before.losses_g
