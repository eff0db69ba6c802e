"""Many enquiries at once: equal seeds give equal answers however many work, and what was stopped goes on."""

import json
import subprocess
import sys
from datetime import UTC, date, datetime

import pytest

import stillroom
from stillroom.actions.book.laboratory import begin_laboratory
from stillroom.actions.house.house_facts import note_condition
from stillroom.actions.house.pricing import note_price
from stillroom.actions.keeping_answers import keep
from stillroom.actions.offers.offering import offer_standing
from stillroom.cli.main import main
from stillroom.errors import BadEntry
from stillroom.in_python import many
from stillroom.in_python.many import Answered, in_all, many_offers
from stillroom.records.people import Person

TODAY = date(2026, 11, 30)
MORNING = datetime(2026, 11, 30, 8, 0, tzinfo=UTC)
ASKED = {
    "product": "tonic", "kind": "hair leave-on", "strength": "0.1", "of": "rosmarinic acid", "plant": "rosemary leaf",
    "way": "infusion",
}  # fmt: skip
SEASON = [{**ASKED, "bottles": f"{units} × 5 cl"} for units in (12, 24, 24, 50)]
DRAWS = 256


def answers(**told: object) -> list[Answered]:
    return many_offers(SEASON, draws=DRAWS, today=TODAY, **told)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def here() -> list[Answered]:
    return answers()


def test_the_same_seed_gives_the_same_answers_and_another_seed_others(here):
    assert answers() == here
    assert answers(seed=8) != here
    assert here[1].cost != here[2].cost  # the same enquiry twice draws for itself


def test_an_answer_is_that_of_the_same_enquiry_by_itself():
    (found,) = many_offers([SEASON[1]], today=TODAY)
    alone = stillroom.offer(**ASKED, bottles="24 × 50 mL", today=TODAY)

    assert found.days_promised == pytest.approx(alone["days_promised"].value, abs=1)
    assert found.price == pytest.approx(alone["price"].value, rel=0.1)


def test_with_a_book_each_waits_for_its_bench_as_the_same_enquiry_does_there(tmp_path):
    with begin_laboratory(
        tmp_path / "own", "The hill laboratory", Person("IB", "Ida Berg", True), clock=lambda: MORNING
    ) as lab:
        note_price(lab, "hour", "60 EUR/h", by="IB")
        note_condition(lab, "days of work", "Thu", by="IB")
        asked = {**SEASON[1], "customer": "Shop"}
        keep(lab, "offer", asked, by="IB")
        with lab.look() as look:
            kept = offer_standing(look, "OFF-1", TODAY).offer
        found = many_offers([asked, asked], draws=DRAWS, today=TODAY, lab=lab)
        again = many_offers([asked, asked], draws=DRAWS, today=TODAY, lab=lab)
        plain = many_offers([asked], draws=DRAWS, today=TODAY)
        note_condition(lab, "bath places", "0", by="IB")
        (without,) = many_offers([asked], draws=DRAWS, today=TODAY, lab=lab)

    assert found == again
    assert date.fromisoformat(found[0].ready_on).weekday() == date.fromisoformat(kept.ready_on).weekday()
    assert found[0].days_promised == pytest.approx(kept.days_promised, abs=7)
    assert found[0].days_promised > plain[0].days_promised  # one day of work a week
    assert found[0].cost != plain[0].cost
    assert "bath" in without.refused


@pytest.mark.slow
def test_one_process_and_two_give_what_this_one_gives(here):
    pytest.importorskip("distributed", reason="several processes are led by Dask")

    assert answers(workers=1) == here
    assert answers(workers=2) == here


@pytest.mark.slow
def test_a_cluster_is_led_by_its_address(here):
    distributed = pytest.importorskip("distributed", reason="a cluster is led by Dask")
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, dashboard_address="127.0.0.1:0"
    ) as cluster:
        assert answers(on=cluster.scheduler_address) == here


def test_what_ended_before_a_stop_is_not_worked_again(tmp_path, monkeypatch, here):
    kept, worked = tmp_path / "answers", []

    def stops(ended: int, of: int) -> None:
        if ended == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        answers(under_way=kept, tell=stops)
    with kept.open("a") as file:
        file.write('{"key": "half a li')  # it was killed while it wrote
    plain = many.answer_row
    monkeypatch.setattr(many, "answer_row", lambda *one: worked.append(one[0]) or plain(*one))

    assert answers(under_way=kept) == here
    assert worked == [3, 4]
    worked.clear()
    assert answers(under_way=kept) == here
    assert worked == []


def test_another_seed_takes_nothing_from_what_was_kept(tmp_path, here):
    kept = tmp_path / "answers"
    answers(under_way=kept)

    assert answers(under_way=kept, seed=8) == answers(seed=8)


@pytest.mark.slow
def test_a_process_that_was_killed_goes_on_where_it_was(tmp_path, here):
    table, out = tmp_path / "season.csv", tmp_path / "season.answers.csv"
    names = list(SEASON[0])
    table.write_text("\n".join([",".join(names), *(",".join(one[name] for name in names) for one in SEASON)]))
    words = ["offers", str(table), "--draws", f"{DRAWS}", "--today", TODAY.isoformat(), "--json"]
    under_way = out.with_name(out.name + ".under-way")
    running = subprocess.Popen(
        [sys.executable, "-m", "stillroom", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    with running:
        first = running.stderr.read(len(f"\r1 of {len(SEASON)} answered"))
        running.kill()
    assert first.decode() == f"\r1 of {len(SEASON)} answered"
    assert under_way.exists()
    ended = subprocess.run(
        [sys.executable, "-m", "stillroom", *words], capture_output=True, text=True, check=True
    )
    found = [Answered(**one) for one in json.loads(ended.stdout)["answers"]]

    assert found == here
    assert f"{len(SEASON)} of {len(SEASON)} answered" in ended.stderr
    assert out.read_text().count("\n") == len(SEASON) + 1
    assert not under_way.exists()


def test_progress_counts_every_row_once(here):
    told: list[tuple[int, int]] = []
    answers(tell=lambda ended, of: told.append((ended, of)))

    assert told == [(at, len(SEASON)) for at in range(1, len(SEASON) + 1)]


def test_a_row_that_cannot_be_answered_says_why_and_the_others_go_on():
    first, second = many_offers([{**SEASON[0], "plant": ""}, SEASON[1]], draws=DRAWS, today=TODAY)

    assert "A plant and its part is needed" in first.refused
    assert second.refused == ""
    assert in_all([first, second]).refused == 1


def test_together_they_are_the_sum_of_means_with_the_root_of_the_sum_of_squares(here):
    whole = in_all(here)

    assert whole.plant_kg["rosemary leaf"] == pytest.approx(sum(one.plant_kg for one in here))
    assert whole.cost[1] == pytest.approx(sum(one.cost for one in here))
    assert (whole.cost[2] - whole.cost[1]) / 1.6449 == pytest.approx(
        sum(one.cost_sd**2 for one in here) ** 0.5
    )


def test_without_dask_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)

    with pytest.raises(BadEntry, match=r"stillroom\[cluster\]"):
        answers(workers=1)


def test_a_cluster_that_does_not_answer_is_named(monkeypatch):
    pytest.importorskip("distributed", reason="a cluster is led by Dask")
    monkeypatch.setattr(many, "PATIENCE", "1s")

    for address in ("tcp://127.0.0.1:9", "no address"):
        with pytest.raises(BadEntry, match="answers at the address"):
            answers(on=address)


def test_a_table_that_is_not_there_is_named(tmp_path, capsys):
    with pytest.raises(SystemExit, match="2"):
        main(["offers", str(tmp_path / "none.csv")])

    assert "none.csv" in capsys.readouterr().err
