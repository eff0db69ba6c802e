"""A second person did none of the work; or it is the same one, a night later, and the paper says so."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.lots.stock_movements import keep_back
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.bulk_density import weigh_density
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.products.dosing import decide_dose
from stillroom.actions.products.filling import fill_units
from stillroom.actions.releasing.deciding import release, review_release
from stillroom.documents.as_sheet import page_pdf
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed, UnknownName
from stillroom.pages.release import show_certificate
from stillroom.records.lots import Status
from tests.practice import copied, extracted_folder, opened, words_of_pdf

READ = "sheet, dose, fill check and label read against the order"
LABEL = {"paper/label check": "read against the order and the list of ingredients"}


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def make_tonic(lab: Laboratory, code: str, *, weighs: str, doses: str, measures: str) -> None:
    """A kilogram of tonic, made on one day by the people named."""
    begin_batch(lab, code, "hair-tonic", "1.000 kg", order="ORD-1", by=weighs, at=at("2026-11-20 08:00"))
    dose = decide_dose(lab, code, "E1", scale="SCALE-2", by=doses, at=at("2026-11-20 08:20"))
    assert dose.says.startswith("2.6 g")
    lines = (
        Weighed("spirit", "355 g", "SPI-01", "SCALE-1"),
        Weighed("glycerin", "10.00 g", "GLY-01", "SCALE-2"),
        Weighed("panthenol", "5.00 g", "PAN-01", "SCALE-2"),
        Weighed("extract", "2.60 g", "E1", "SCALE-2"),
        Weighed("water", "627 g", "WAT-01", "SCALE-1"),
        Weighed("bulk", "985 g", "", "SCALE-1"),
    )
    ticks = step_in_hand(lab, code, "blend").step.ticks
    do_step(lab, code, "blend", lines, ticks=ticks, by=weighs, at=at("2026-11-20 10:00"))
    weigh_density(
        lab, code, empty="38.41 g", water="138.14 g", bulk="133.12 g", temperature="20.0 °C",
        scale="SCALE-2", thermometer="THERM-1", by=measures, at=at("2026-11-20 14:00"),
    )  # fmt: skip
    fill_units(
        lab, code, 9, left_over="100.0 g", check_weights=("95.9 g", "96.0 g", "95.8 g"),
        packaging={"BOT-01": 9, "CAP-01": 9, "LAB-01": 9}, scale="SCALE-2", use_by="2027-09-30", by=weighs,
        at=at("2026-11-20 17:00"),
    )  # fmt: skip
    keep_back(lab, code, amount="2 bottles", by=weighs, at=at("2026-11-20 17:10"))


@pytest.fixture
def bottled(tmp_path: Path):
    """A tonic weighed by one person, dosed and measured by another who may release."""
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        make_tonic(lab, "T3", weighs="TO", doses="MA", measures="MA")
        yield lab


def test_whoever_dosed_may_not_release_on_the_day(bottled: Laboratory) -> None:
    before = bottled.book.digest()

    with pytest.raises(NotAllowed, match="A second person: Mira Anselm has dosed"):
        release(bottled, "T3", meaning=READ, decisions=LABEL, by="MA", at=at("2026-11-20 18:00"))
    assert bottled.book.digest() == before


@pytest.mark.parametrize(
    ("people", "did"),
    [
        ({"weighs": "JU", "doses": "MA", "measures": "MA"}, "weighed"),
        ({"weighs": "MA", "doses": "JU", "measures": "MA"}, "dosed"),
        ({"weighs": "MA", "doses": "MA", "measures": "JU"}, "read|tested"),
    ],
)
def test_whoever_weighed_dosed_or_tested_is_no_second_person(
    tmp_path: Path, people: dict[str, str], did: str
) -> None:
    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        make_tonic(lab, "T3", **people)

        with pytest.raises(NotAllowed, match=rf"A second person: Juno Ullrich has ({did})"):
            release(lab, "T3", meaning=READ, decisions=LABEL, by="JU", at=at("2026-11-20 18:00"))


def test_whoever_titrated_an_extract_may_not_release_it(tmp_path: Path) -> None:
    from stillroom.actions.releasing.deciding import stop
    from stillroom.actions.testing.precipitate import read_test

    with opened(copied(tmp_path, of=extracted_folder)) as lab:
        stop(lab, "E1", meaning="test repeated", by="MA", at=at("2026-11-20 08:00"))
        read_test(
            lab, "E1", test="wagner", reagent="WAG-01", sample="precipitate", blank="clear", positive="precipitate",
            by="JU", at=at("2026-11-20 09:00"),
        )  # fmt: skip
        with pytest.raises(NotAllowed, match="A second person: Juno Ullrich has tested"):
            release(lab, "E1", meaning=READ, by="JU", at=at("2026-11-20 18:00"))


def test_a_test_whose_controls_failed_stops_a_release_until_the_same_test_has_a_result(
    bottled: Laboratory,
) -> None:
    from stillroom.actions.testing.precipitate import read_test

    def seen(blank: str, when: str) -> list[str]:
        read_test(
            bottled, "T3", test="wagner", reagent="WAG-01", sample="precipitate", blank=blank, positive="precipitate",
            by="TO", at=at(when),
        )  # fmt: skip
        found = review_release(bottled, "T3", by="JU", at=at("2026-11-20 18:00"))
        return [one.says for one in found.lines if one.key == "result/wagner"]

    (failed,) = seen("precipitate", "2026-11-20 09:00")
    (repeated,) = seen("clear", "2026-11-20 10:00")
    (void_again,) = seen("precipitate", "2026-11-20 11:00")

    assert "does not count: The blank gave a precipitate too" in failed
    assert "The sample gave a precipitate" in repeated
    assert void_again == repeated


def test_a_second_person_releases_and_the_paper_names_them(bottled: Laboratory) -> None:
    release(bottled, "T3", meaning=READ, decisions=LABEL, by="JU", at=at("2026-11-20 18:00"))
    text = page_text(show_certificate(bottled, "T3"))

    assert "By Juno Ullrich (JU) on 2026-11-20 18:00" in text
    assert "o second person" not in text


def test_a_decision_that_says_only_ok_decides_nothing(bottled: Laboratory) -> None:
    with pytest.raises(BadEntry, match="why it is enough"):
        release(bottled, "T3", meaning=READ, decisions=dict.fromkeys(LABEL, "ok"), by="JU")
    with bottled.look() as look:
        assert look.status("T3") is Status.WAITING


def test_alone_only_after_a_night_and_the_paper_says_no_second_person(bottled: Laboratory) -> None:
    evening = review_release(bottled, "T3", by="MA", at=at("2026-11-20 23:50"))
    morning = review_release(bottled, "T3", by="MA", at=at("2026-11-21 09:00"))
    release(bottled, "T3", meaning=READ, decisions=LABEL, by="MA", at=at("2026-11-21 09:00"))
    page = show_certificate(bottled, "T3")

    assert [one.key for one in evening.stopping] == ["second-person"]
    assert evening.earliest_alone is not None
    assert (morning.stopping, [one.key for one in morning.undecided], morning.alone) == (
        (),
        list(LABEL),
        True,
    )
    assert "No second person checked this release" in page_text(page)
    assert "No second person checked this release" in words_of_pdf(page_pdf(page))


def test_who_may_not_release_does_not_whoever_they_are(bottled: Laboratory) -> None:
    with pytest.raises(NotAllowed, match="person who may release"):
        release(bottled, "T3", meaning=READ, decisions=LABEL, by="TO", at=at("2026-11-21 09:00"))
    with pytest.raises(UnknownName, match="'JO' is not a person"):
        release(bottled, "T3", meaning=READ, decisions=LABEL, by="JO", at=at("2026-11-21 09:00"))
