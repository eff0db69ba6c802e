"""The watch of what stands or drips on its page: looked at, sent, told, and waiting without a connection."""

from stillroom.actions.bench.procedure_templates import copy_procedure
from stillroom.actions.making.batches import begin_batch, do_step
from stillroom.actions.making.weighing import Weighed
from tests.web.conftest import Bench, words


def test_a_look_is_sent_from_the_page_of_the_watch_and_told_on_it(bench: Bench) -> None:
    page = bench.client.get("/make/E1/watch")
    assert page.status_code == 200
    assert "Nobody looked yet" in words(page.text)
    assert 'data-draft="/make/E1/looked"' in page.text  # it waits in a phone out of reach

    got = bench.fill(
        "/make/E1/watch", "/make/E1/looked", what="it drips", drops_counted="40", drops_of_five="250"
    )
    assert got.status_code == 303
    got = bench.fill(
        "/make/E1/watch", "/make/E1/looked", residue="1200 mg", volume="5 mL", drops_counted="38"
    )
    assert got.status_code == 303
    told = words(bench.client.get("/make/E1/watch").text)

    assert "what comes is still what washes out at once" in told
    assert "drops in a minute: 40" in told
    assert bench.client.get("/make/E1/watch.json").json()["kind"] == "watch"


def test_a_slip_is_asked_back_and_nothing_is_kept(bench: Bench) -> None:
    before = bench.digest()
    got = bench.fill("/make/E1/watch", "/make/E1/looked", residue="120 mg")

    assert got.status_code in (400, 422)
    assert "stands beside the volume" in words(got.text)
    assert bench.digest() == before


def test_a_bed_that_stands_is_not_asked_for_its_drops(bench: Bench) -> None:
    lab, at = bench.lab, bench.lab.clock()
    copy_procedure(lab, "maceration", "rosemary leaf", "rosmarinic acid", "stands", by="MA", at=at)
    begin_batch(lab, "B7", "stands", "120 g", by="TO", at=at)
    standing, dripping = (bench.client.get(f"/make/{one}/watch").text for one in ("B7", "E1"))

    assert 'name="drops-counted"' in dripping
    assert 'name="residue"' in standing
    assert not any(f'name="{one}"' in standing for one in ("drops-counted", "drops-of-five", "collected"))


def test_the_step_that_stands_leads_to_its_watch(bench: Bench) -> None:
    lab, at = bench.lab, bench.lab.clock()
    copy_procedure(lab, "maceration", "rosemary leaf", "rosmarinic acid", "stands", by="MA", at=at)
    begin_batch(lab, "B7", "stands", "120 g", by="TO", at=at)
    before = bench.client.get("/make/B7/step").text
    mixed = (
        Weighed("stock spirit", "606 g", "SPI-01", "SCALE-1"),
        Weighed("water", "486 g", "WAT-01", "SCALE-1"),
    )
    do_step(
        lab, "B7", "mix spirit", mixed, ticks=("No flame and no open element in the room",), by="TO", at=at
    )
    page = bench.client.get("/make/B7/step").text

    assert "/make/B7/watch" not in before
    assert 'href="/make/B7/watch"' in page
    assert "Watch it stand or drip" in words(page)
