"""A laboratory that makes a rosemary lotion: another marker, found by another laboratory. All of it is invented."""

import re
import shutil
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from stillroom.actions.book.ceilings import ceiling_for, state_ceiling
from stillroom.actions.book.laboratory import Laboratory, begin_laboratory, open_laboratory
from stillroom.actions.correcting.entries import correct_reading
from stillroom.actions.house.equipment_and_people import add_apparatus, join_person
from stillroom.actions.house.writing_a_procedure import write_procedure
from stillroom.actions.lots.receiving import receive_lot
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.steps_in_hand import step_in_hand
from stillroom.actions.making.weighing import Weighed
from stillroom.actions.orders.amounts_planned import planned_g
from stillroom.actions.orders.ordering import take_order, work_back
from stillroom.actions.orders.requesting import request_for
from stillroom.actions.products.batch_content import content_made
from stillroom.actions.products.dosing import decide_dose, work_out_dose
from stillroom.actions.releasing.certifying import certificate_facts
from stillroom.actions.releasing.deciding import release, review_release
from stillroom.actions.releasing.reviewing import reviewed
from stillroom.actions.testing.identity import decide_identity
from stillroom.actions.testing.outside import enter_outside_result
from stillroom.actions.testing.titration import titrate
from stillroom.documents.as_text import page_text
from stillroom.errors import BadEntry, NotAllowed
from stillroom.evidence.answer import leaves
from stillroom.pages.batches import show_batch
from stillroom.pages.plans import show_plan
from stillroom.pages.release import show_release, show_whole_certificate
from stillroom.pages.tracing import show_trace
from stillroom.products.release import ReleaseFacts, review
from stillroom.records.lot_kinds import LotKind
from stillroom.records.lots import Lot
from stillroom.records.people import Apparatus, Person
from stillroom.records.procedures import Step
from tests.planning.any_plant import asked

BEGAN = datetime(2026, 10, 1, 8, 0, tzinfo=UTC)
LATER, LATEST = BEGAN + timedelta(days=7), BEGAN + timedelta(days=21)
BOSS = Person("MA", "Mira Anselm", may_release=True)
CERTIFICATE = {"laboratory": "an invented laboratory", "certificate": "C-77", "method": "HPLC", "by": "TO"}
CARRIED = {"plant": "ROS-01", "stock spirit": "SPI-01", "water": "WAT-01"}
BULK = {
    "glycerin": "GLY-01",
    "sodium benzoate": "BEN-01",
    "potassium sorbate": "SOR-01",
    "citric acid": "CIT-01",
}


class Clock:
    """Half an hour later each time it is asked."""

    def __init__(self, begins: datetime) -> None:
        self.now = begins

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=30)
        return self.now


def begin(folder: Path) -> None:
    """Begin the laboratory, take its order, and fill its shelf."""
    request = asked("maceration")
    with begin_laboratory(folder, "A lotion laboratory", BOSS, clock=Clock(BEGAN)) as found:
        join_person(found, Person("TO", "Tom Oriel"), by="MA")
        add_apparatus(found, Apparatus("SCALE-1", "scale", "bench scale", 0.01, "g", 0.01), by="MA")
        write_procedure(found, request.extraction, by="MA")
        write_procedure(found, request.formula, by="MA")
        take_order(found, request.order, by="MA")
        shelf = {"ROS-01": (LotKind.PLANT, "rosemary leaf"), "SPI-01": (LotKind.SPIRIT, "spirit 96 %")}
        shelf |= {"WAT-01": (LotKind.WATER, "purified water")}
        shelf |= {code: (LotKind.INGREDIENT, name) for name, code in BULK.items()}
        for code, (kind, substance) in shelf.items():
            stated = "96.0 % v/v at 20 °C" if kind is LotKind.SPIRIT else ""
            lot = Lot(code, kind, substance, substance, supplier="an invented trader", stated=stated)
            receive_lot(found, lot, "20 kg", by="TO")
            if kind is LotKind.PLANT:
                decide_identity(found, code, accepted=True, evidence="compared with a specimen", by="MA")
            release(found, code, meaning="label and look", by="MA")


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The laboratory with its extract made; told once, read and never written."""
    folder = tmp_path_factory.mktemp("rosemary") / "book"
    begin(folder)
    with open_laboratory(folder, clock=Clock(LATER)) as found:
        extract(found)
    return folder


@pytest.fixture
def lab(told: Path, tmp_path: Path) -> Iterator[Laboratory]:
    """With its extract made, and nothing known of it; to be written in."""
    shutil.copytree(told, tmp_path / "book")
    with open_laboratory(tmp_path / "book", clock=Clock(LATEST)) as found:
        yield found


def extract(lab: Laboratory) -> None:
    """Macerate 200 g, every mass as it was planned."""
    begin_batch(lab, "R1", "other-extract", "200 g", order="A-1", by="TO")
    make(lab, "R1", asked("maceration").extraction.steps, CARRIED | {"extract": "R1"})


def blend(lab: Laboratory) -> None:
    """Dose and blend 2 kg of lotion, with the extract released by another person."""
    release(lab, "R1", meaning="sheet and certificate read", by="MA")
    begin_batch(lab, "L1", "lotion", "2.000 kg", order="A-1", by="TO")
    decide_dose(lab, "L1", "R1", scale="SCALE-1", by="TO")
    steps = asked("maceration").formula.steps
    make(lab, "L1", [one for one in steps if one.kind != "fill"], BULK | {"water": "WAT-01", "extract": "R1"})


def make(lab: Laboratory, batch: str, steps: Sequence[Step], lots: Mapping[str, str]) -> None:
    with lab.look() as look:
        planned = planned_g(look, batch)
    for step in steps:
        in_hand = step_in_hand(lab, batch, step.name)
        assert in_hand is not None
        weighed = [
            Weighed(line, f"{planned[step.name, line]:.2f} g", lots.get(line, ""), "SCALE-1")
            for line in step.weighs
        ]
        do_step(lab, batch, step.name, weighed, ticks=in_hand.step.ticks, by="TO")


def found_outside(lab: Laboratory, lot: str, found: str = "6.20 % w/w ± 0.30 (k = 2)", **more: str) -> str:
    """What the invented laboratory found."""
    said = {"matter": "as is", **CERTIFICATE, **more}
    return enter_outside_result(lab, lot, marker="rosmarinic acid", found=found, **said).says  # type: ignore[arg-type]


def test_the_whole_way_names_rosmarinic_acid_and_never_quinine(lab: Laboratory) -> None:
    plan_text = page_text(show_plan(lab, "A-1"))
    texts = [plan_text, page_text(show_batch(lab, "R1")), page_text(show_trace(lab, "R1"))]

    assert all("rosmarinic acid" in text for text in texts[:2])
    for text in texts:
        assert "quinine" not in text.casefold()
        assert "alkaloid" not in text.casefold()


def test_a_result_from_outside_serves_the_dose_with_its_uncertainty(lab: Laboratory) -> None:
    found_outside(lab, "R1")
    begin_batch(lab, "L1", "lotion", "2.000 kg", order="A-1", by="TO")
    found = work_out_dose(lab, "L1", "R1", scale="SCALE-1")

    # 2,000 g at 0.010 % is 0.200 g; at 6.20 % in the extract that is 3.226 g, on a scale of 0.01 g 3.23 g.
    assert found.mass.value == pytest.approx(3.23, abs=1e-9)
    assert found.content.answer.value == pytest.approx(3.23 * 6.20 / 2000.0, rel=1e-9)
    assert found.content.answer.standard_uncertainty / found.content.answer.value == pytest.approx(
        0.15 / 6.20, rel=0.02
    )
    assert found.strength.answer.basis == "w/w rosmarinic acid as rosmarinic acid, of extract, as is"
    assert not found.mass.rests_on_an_assumption
    assert found.judged.verdict == "no rule found"


def test_a_result_from_outside_reaches_the_certificate_with_who_found_it(lab: Laboratory) -> None:
    found_outside(lab, "R1")
    blend(lab)
    with lab.look() as look:
        found = reviewed(look, "R1", BOSS, lab.clock().isoformat())
        of_extract, of_product = certificate_facts(look, "R1", found), content_made(look, "L1")
    text = page_text(show_whole_certificate(lab, "R1")).replace("\n", " ")

    (said,) = of_extract.outside
    assert said.startswith(
        "rosmarinic acid, as is in R1: found by an outside laboratory: an invented laboratory"
    )
    assert said.endswith(f"certificate C-77, by HPLC (entry {result_no(lab)}).")
    assert of_extract.assumed == ()
    assert of_product.content.answer.basis == "w/w rosmarinic acid as rosmarinic acid, of product, as is"
    assert "Rosmarinic acid, as is" in text
    assert "certificate C-77" in text
    assert "w/w rosmarinic acid, of extract, as is" in text
    assert not re.search(r"(\w+ acid) as \1", " ".join((text, *of_product.meets)))
    assert "quinine" not in text.casefold()
    assert "assumed" not in {leaf.leaf.kind for leaf in leaves(of_product.content.answer)}


def test_an_extract_without_its_assay_waits_for_one_of_its_own_marker(lab: Laboratory) -> None:
    before = {one.says for one in review_release(lab, "R1", by="MA").missing}
    found_outside(lab, "R1")
    after = {one.says for one in review_release(lab, "R1", by="MA").missing}

    assert before - after == {"rosmarinic acid, as is was not tested"}
    assert "quinine" not in page_text(show_release(lab, "R1", by="MA"))


def test_a_dose_without_any_assay_is_refused_by_the_name_of_the_marker(lab: Laboratory) -> None:
    begin_batch(lab, "L1", "lotion", "2.000 kg", order="A-1", by="TO")

    with pytest.raises(BadEntry, match=r"assay of rosmarinic acid that counts.*outside laboratory"):
        work_out_dose(lab, "L1", "R1", scale="SCALE-1")


def test_without_an_uncertainty_a_result_is_kept_and_does_not_count(lab: Laboratory) -> None:
    said = found_outside(lab, "R1", "6.20 % w/w")
    begin_batch(lab, "L1", "lotion", "2.000 kg", order="A-1", by="TO")

    assert "does not count yet" in said
    with lab.look() as look:
        assert [entry.body.counts for entry in look.results("R1")] == [False]
    with pytest.raises(BadEntry, match="that counts"):
        work_out_dose(lab, "L1", "R1", scale="SCALE-1")


@pytest.mark.parametrize(
    ("found", "more", "says"),
    [
        ("6.2 % w/v ± 0.3 (k = 2)", {}, "share by mass"),
        ("130 % w/w ± 1 (k = 2)", {}, "100 %"),
        ("6.2 % w/w ± 0.3 (k = 2), dried", {}, "must say the same"),
        ("6.2 % w/w as caffeic acid ± 0.3 (k = 2)", {}, "must say the same"),
        ("6.2 % w/w ± 0.3 (k = 2)", {"matter": ""}, "as is, or of its dried matter"),
        ("6.2 % w/w ± 0.3 (k = 2)", {"laboratory": " "}, "names its laboratory"),
        ("6.2 % w/w ± 0.3 (k = 2)", {"certificate": ""}, "names its certificate"),
        ("6.2 % w/w ± 0.3 (k = 2)", {"method": ""}, "names its method"),
    ],
)
def test_a_result_that_cannot_be_taken_is_asked_back(
    lab: Laboratory, found: str, more: dict, says: str
) -> None:
    before = lab.book.digest()

    with pytest.raises(BadEntry, match=says):
        found_outside(lab, "ROS-01", found, **more)
    assert lab.book.digest() == before


def test_a_plant_assayed_outside_is_a_reading_of_the_plan_on_its_own_basis(lab: Laboratory) -> None:
    found_outside(lab, "ROS-01", "14 mg/g ± 1 (k = 2)", matter="dried")
    with lab.look() as look:
        request = request_for(look, "A-1")
    made = work_back(lab, "A-1", draws=512)

    assay = next(one for one in request.known if one.role == "assay of the plant")
    assert (assay.origin, request.assay_matter, request.assay_as) == ("reading", "dried", "rosmarinic acid")
    assert assay.value == pytest.approx(1.4)
    assert assay.standard_uncertainty == pytest.approx(0.05)
    drying = next(one for one in request.used if one.role == "loss on drying").value
    assert made.line("plant_content_percent").value == pytest.approx(1.4 * (1 - drying / 100), rel=0.005)


def test_a_corrected_result_from_outside_is_reckoned_again(lab: Laboratory) -> None:
    found_outside(lab, "R1")
    with lab.look() as look:
        reading_no = look.results("R1")[-1].body.readings[0]
    correct_reading(lab, reading_no, "6.02 % w/w ± 0.1 (k = 2)", why="two figures were swapped", by="TO")
    with lab.look() as look:
        assert look.results("R1")[-1].body.value == pytest.approx(6.02)


def test_no_rule_found_holds_the_release_until_a_ceiling_is_stated_with_its_source(lab: Laboratory) -> None:
    found_outside(lab, "R1")
    blend(lab)
    missing = "No rule found for rosmarinic acid in skin leave-on (EU)"
    with lab.look() as look:
        facts = ReleaseFacts("L1", {}, lab.clock().isoformat(), judged=content_made(look, "L1").judged)
    before = [one.says for one in review(facts, BOSS, lab.clock().isoformat()).missing]
    state_ceiling(
        lab, "rosmarinic acid", "skin leave-on", "EU", "none", "an invented opinion of 2026", by="MA"
    )
    with lab.look() as look:
        facts = ReleaseFacts("L1", {}, lab.clock().isoformat(), judged=content_made(look, "L1").judged)
    after = review(facts, BOSS, lab.clock().isoformat())

    assert missing in before
    assert missing not in [one.says for one in after.missing]
    assert any(
        "no ceiling is set" in said and "an invented opinion of 2026" in said
        for said in after.certificate_says
    )


def test_a_stated_ceiling_stops_plan_order_and_dose_above_it(lab: Laboratory) -> None:
    found_outside(lab, "R1")
    state_ceiling(lab, "rosmarinic acid", "skin leave-on", "EU", "0.0101 %", "an invented opinion", by="MA")
    begin_batch(lab, "L1", "lotion", "2.000 kg", order="A-1", by="TO")

    with lab.look() as look:
        assert ceiling_for(look, look.order("A-1")).limit.value == pytest.approx(0.0101)
    assert work_back(lab, "A-1", draws=512).content.ceiling_percent == pytest.approx(0.0101)
    with pytest.raises(NotAllowed, match=r"at most 0\.0101 %"):
        work_out_dose(lab, "L1", "R1", scale="SCALE-1")
    state_ceiling(lab, "rosmarinic acid", "skin leave-on", "EU", "0.005 %", "a later opinion", by="MA")
    with pytest.raises(NotAllowed, match=r"ceiling of 0\.005 %"):
        work_back(lab, "A-1", draws=512)
    with pytest.raises(NotAllowed, match=r"ceiling of 0\.005 %"):
        take_order(lab, replace(asked("maceration").order, code="A-2"), by="MA")


def test_a_plant_without_alkaloids_is_not_titrated_as_another_plants(lab: Laboratory) -> None:
    portion = [("1.00 g", "8.40 mL")]
    add_apparatus(lab, Apparatus("BUR-1", "burette", "burette", 0.05, "mL", 0.02), by="MA")
    titrant = Lot("NAOH-01", LotKind.REAGENT, "sodium hydroxide", "titrant", supplier="made here")
    receive_lot(lab, titrant, "1 kg", by="TO")
    release(lab, "NAOH-01", meaning="factor set", by="MA")

    with pytest.raises(BadEntry, match=r"Total acids are titrated back with an acid.*sodium hydroxide"):
        titrate(
            lab,
            "ROS-01",
            portions=portion,
            blank="20 mL",
            titrant="NAOH-01",
            scale="SCALE-1",
            burette="BUR-1",
            by="TO",
        )


def test_the_law_is_never_lifted_by_hand_and_may_become_stricter(lab: Laboratory) -> None:
    for percent in ("5 %", "0.2 %", "none"):
        with pytest.raises(NotAllowed, match="only where it became stricter"):
            state_ceiling(lab, "quinine", "hair leave-on", "EU", percent, "wishful", by="MA")
    assert state_ceiling(lab, "quinine", "hair leave-on", "EU", "0.19 %", "a newer text", by="MA").entries


@pytest.mark.parametrize("left_out", range(5))
def test_a_ceiling_names_all_it_rests_on(lab: Laboratory, left_out: int) -> None:
    said = ["linalool", "skin leave-on", "EU", "0.5 %", "an invented opinion"]
    said[left_out] = " "

    with pytest.raises(BadEntry, match="names its"):
        state_ceiling(lab, *said, by="MA")


@pytest.mark.parametrize("percent", ["0.5 % v/v", "120 %", "0 %", "some"])
def test_a_ceiling_is_a_share_by_mass(lab: Laboratory, percent: str) -> None:
    with pytest.raises(BadEntry):
        state_ceiling(lab, "linalool", "skin leave-on", "EU", percent, "an invented opinion", by="MA")


def test_an_order_of_a_prohibited_plant_is_refused_before_anything_is_bought(lab: Laboratory) -> None:
    one = asked("maceration").extraction
    lines = tuple(
        replace(line, substance="foxglove leaf") if line.name == "plant" else line for line in one.lines
    )

    with pytest.raises(NotAllowed, match="foxglove may not"):
        write_procedure(lab, replace(one, code="digitalis", lines=lines), by="MA")


def result_no(lab: Laboratory) -> int:
    with lab.look() as look:
        return look.results("R1")[-1].entry_no


def test_a_certificate_where_no_clean_up_solvent_was_used_does_not_call_it_untested(lab: Laboratory) -> None:
    found_outside(lab, "R1")
    with lab.look() as look:
        found = reviewed(look, "R1", BOSS, lab.clock().isoformat())
        facts = certificate_facts(look, "R1", found)

    assert facts.residue == "Residue of a clean-up solvent: none was used."
