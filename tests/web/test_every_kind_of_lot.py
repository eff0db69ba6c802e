"""Every entry of the table of kinds: received, shown, tested, released, labelled and traced as its traits say."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import stillroom
from stillroom.actions.lots.receiving import received
from stillroom.actions.releasing.deciding import release
from stillroom.actions.releasing.lot_waits import waits_for
from stillroom.errors import BadEntry, NotAllowed
from stillroom.pages.printing import documents_of
from stillroom.pages.release import show_label
from stillroom.pages.tracing import show_tracing
from stillroom.records.lot_kinds import MADE_AS, LotKind
from stillroom.records.lots import Lot, Status
from stillroom.web.stock import COMES_IN
from tests.web.conftest import Bench, opened

HOUSE = Path(stillroom.__file__).parent
IN_UNITS = {"ug": "2.000 kg", "piece": "120 pieces"}
KNOWN = {
    "spirit": ("spirit 96 %", "96.0 % v/v"),
    "water": ("purified water", ""),
    "acid": ("hydrochloric acid 37 %", ""),
}
"""By whose density a volume becomes a mass, and a substance of that sort with its label."""
TESTED_AT = {
    "drying": "/stock/{lot}/drying",
    "assay": "/test/{lot}",
    "strength": "/stock/{lot}/strength",
    "another laboratory": "/stock/{lot}/outside-result",
    "trial": "/reagents/lots/{lot}/try",
}
PRINTED_AT = {"label": "/products/{lot}/label", "bottle": "/reagents/lots/{lot}/label"}

every_kind = pytest.mark.parametrize("kind", LotKind, ids=str)
UNSEEN = (LotKind.SOLVENT, LotKind.WATER)
"""Kinds of which the practice laboratory has no lot: the test receives one."""


@pytest.fixture(scope="module")
def bench(told: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """One laboratory for the whole walk."""
    folder = tmp_path_factory.mktemp("kinds") / "book"
    shutil.copytree(told, folder)
    yield from opened(folder)


def a_lot(kind: LotKind) -> Lot:
    substance, stated = KNOWN.get(kind.traits.by_volume, ("anything", ""))
    return Lot("NEW-1", kind, substance, "new", stated=stated)


def receive(bench: Bench, code: str, kind: LotKind) -> Any:
    return bench.fill(
        "/stock/new", code=code, kind=kind.value, substance="anything", name="new", owner="ours",
        amount=IN_UNITS[kind.traits.counted_in],
    )  # fmt: skip


def of_kind(bench: Bench, kind: LotKind) -> Lot:
    """The first lot of that kind in the practice laboratory; one is received where it has none."""
    with bench.lab.look() as look:
        lots = look.lots((kind,))
    if lots:
        return lots[0]
    assert kind in UNSEEN
    code = f"NEW-1-{kind[:3]}"
    assert receive(bench, code, kind).status_code == 303
    with bench.lab.look() as look:
        return look.lot(code)


@every_kind
def test_a_lot_is_counted_in_the_unit_of_its_kind(kind: LotKind) -> None:
    counted_in = kind.traits.counted_in

    assert received(a_lot(kind), IN_UNITS[counted_in])[1] == counted_in
    if counted_in == "piece":
        assert received(a_lot(kind), "12") == (12, "piece", None)


@every_kind
def test_a_volume_is_received_where_the_kind_has_a_density(kind: LotKind) -> None:
    if not kind.traits.by_volume:
        with pytest.raises(BadEntry, match="none is known of this lot"):
            received(a_lot(kind), "5 L at 20 °C")
        return
    micrograms, counted_in, sure_g = received(a_lot(kind), "5 L at 20 °C")

    assert counted_in == "ug"
    assert 3e9 < micrograms < 7e9
    assert sure_g


@every_kind
def test_what_comes_in_is_offered_and_taken(bench: Bench, kind: LotKind) -> None:
    said, code = kind.traits.comes_in, f"NEW-2-{kind[:3]}"
    sent = receive(bench, code, kind)

    assert (kind.value in dict(COMES_IN)) == (said == "received")
    if said == "as an ingredient":
        assert "received as an ingredient" in sent.text
    elif said == "received":
        assert sent.status_code == 303
        assert bench.client.get(f"/stock/{code}").status_code == 200


@every_kind
def test_the_page_of_a_lot_offers_what_its_kind_can_be_asked(bench: Bench, kind: LotKind) -> None:
    lot = of_kind(bench, kind).code
    page = bench.client.get(f"/stock/{lot}")
    assert page.status_code == 200
    for name, at in TESTED_AT.items():
        offered, address = name in kind.traits.tested_by, at.format(lot=lot)
        assert (f'href="{address}"' in page.text) == offered, name
        if offered:
            assert bench.client.get(address).status_code == 200
    for name, at in PRINTED_AT.items():
        offered, address = name in kind.traits.papers, at.format(lot=lot)
        assert (f'href="{address}"' in page.text) == offered, name
        if offered:
            assert bench.client.get(address).status_code == 200


@every_kind
def test_what_is_printed_is_what_the_kind_says(bench: Bench, kind: LotKind) -> None:
    lot = of_kind(bench, kind).code
    printed = documents_of(bench.lab)

    for paper in ("certificate", "label", "trace"):
        assert (f"{paper}-{lot}" in printed) == (paper in kind.traits.papers)
    if "label" not in kind.traits.papers:
        with pytest.raises(BadEntry, match="A label is for a product"):
            show_label(bench.lab, lot)


@every_kind
def test_a_trace_goes_through_every_kind_and_begins_at_some(bench: Bench, kind: LotKind) -> None:
    lot = of_kind(bench, kind).code
    begins = bench.client.get("/trace").text

    assert lot in bench.client.get(f"/trace/{lot}").text
    assert (f"/trace/{lot}" in begins) == kind.traits.traced
    assert show_tracing(bench.lab).blocks


@every_kind
def test_a_waiting_lot_is_released_on_what_its_kind_says(bench: Bench, kind: LotKind) -> None:
    traits = kind.traits
    if traits.comes_in == "received":
        lot = f"NEW-3-{kind[:3]}"
        receive(bench, lot, kind)
    else:
        lot = of_kind(bench, kind).code
    with bench.lab.look() as look:
        waits, stands = waits_for(look, lot), look.status(lot)
    if traits.released_on == "nothing":
        assert waits == ()
        assert f"/stock/{lot}" not in bench.client.get("/").text
    elif traits.released_on == "identity":
        assert "Identity" in waits[0]
        with pytest.raises(NotAllowed):
            release(bench.lab, lot, meaning="its papers", by="MA")
    elif traits.on_release_list:
        assert stands is Status.RELEASED  # the practice laboratory closed every line
    else:  # a reagent that was bought has no trial to wait for
        assert waits == ("Release on its papers by a person who may release.",)
        release(bench.lab, lot, meaning="its papers", by="MA")
        with bench.lab.look() as look:
            assert look.status(lot) is Status.RELEASED


def test_what_a_batch_gives_has_one_kind_for_each_way() -> None:
    ways = [one.traits.made_as for one in LotKind if one.traits.made_as]

    assert sorted(ways) == ["beside", "extraction", "formula", "reagent", "waste"]
    assert {way: kind.value for way, kind in MADE_AS.items()} == {
        "extraction": "extract", "formula": "product", "reagent": "reagent",
        "beside": "recovered liquid", "waste": "marc and waste",
    }  # fmt: skip


def test_the_book_keeps_the_words_it_always_kept() -> None:
    assert [one.value for one in LotKind] == [
        "plant material", "spirit", "solvent", "reagent", "ingredient", "water", "packaging", "extract",
        "recovered liquid", "product", "marc and waste",
    ]  # fmt: skip
    with pytest.raises(ValueError, match="not a valid"):
        LotKind("nothing")


def test_no_place_but_the_table_and_the_practice_laboratory_names_a_kind() -> None:
    named = {
        str(path.relative_to(HOUSE))
        for path in HOUSE.rglob("*.py")
        if re.search(rf"\bLotKind\.({'|'.join(LotKind.__members__)})\b", path.read_text(encoding="utf-8"))
    }

    assert {one for one in named if not one.startswith("demo/")} == set()
