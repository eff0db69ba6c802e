"""A page that lists, and a trace, take the same number of questions to the book however much stands in it."""

import json
import re
from dataclasses import replace

import pytest
from sqlalchemy import event

from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.offers.offering import make_offer
from stillroom.records.entries import (
    ApparatusAdded,
    BatchBegun,
    Body,
    ComplaintHeard,
    Entry,
    GoodsOrdered,
    IngredientStated,
    LotReceived,
    MarkerStated,
    OfferEnded,
    OfferMade,
    OrderTaken,
    PlantStated,
    ProcedureWritten,
)
from stillroom.records.entry_json import body_from_json, body_to_json
from stillroom.substances.own import OwnIngredient, OwnMarker, OwnPlant
from stillroom.web.app import make_app
from stillroom.web.kept_pages import KeptPages
from tests.actions.test_offers import ASKED
from tests.pages_in_process import Pages
from tests.practice import copied, noon, opened

SEARCHED = (
    "/orders",
    "/offers",
    "/goods",
    "/stock",
    "/make",
    "/make/procedures",
    "/plants",
    "/test",
    "/products",
    "/laboratory/own",
)
LISTS = (
    *SEARCHED, *(f"{one}?words=cinchna" for one in SEARCHED), "/bench", "/reagents", "/trace", "/entries",
    "/laboratory", "/laboratory/instruments",
)  # fmt: skip
TRACES = ("/trace/SPI-01", "/trace/E1", "/stock/SPI-01")
"""Of what every batch took from, and of an extract in many products."""
FEW, MANY = 6, 18


def more(lab: Laboratory, story: tuple[Entry, ...], first: int, last: int) -> None:
    """Write as many more of everything that is listed, a third of each ended."""
    with lab.look() as look:
        written = {one.kind: one for one in look.entries()}
        lots = {one.body.lot.kind: one for one in look.entries("lot received")}
    now = noon().isoformat()
    with lab.book.pen(by="MA", at=now, entered_at=now) as pen:
        for number in range(first, last):
            bodies: list[Body] = []
            for kind, entry in written.items():
                match entry.body:
                    case OfferMade() as one:
                        bodies.append(replace(one, code=f"OFF-{number}"))
                        bodies += [OfferEnded(f"OFF-{number}", "withdrawn")] if number % 3 == 0 else []
                    case GoodsOrdered() as goods:
                        bodies.append(replace(goods, code=f"BUY-{number}"))
                    case OrderTaken() as taken:
                        bodies.append(replace(taken, order=replace(taken.order, code=f"ORD-{number}")))
                    case ProcedureWritten() as told:
                        bodies.append(replace(told, procedure=replace(told.procedure, code=f"way-{number}")))
                    case BatchBegun() as begun:
                        bodies.append(replace(begun, code=f"E{number}"))
                    case ApparatusAdded() as added:
                        bodies.append(
                            replace(added, apparatus=replace(added.apparatus, code=f"SCALE-{number}"))
                        )
                    case ComplaintHeard() as heard:
                        bodies.append(heard)
                    case PlantStated(plant=plant):
                        bodies.append(PlantStated(replace(plant, name=f"bark of tree {number}")))
                    case MarkerStated(marker=marker):
                        bodies.append(MarkerStated(replace(marker, name=f"marker {number}")))
                    case IngredientStated(ingredient=ingredient):
                        bodies.append(IngredientStated(replace(ingredient, name=f"oil {number}")))
                    case _:
                        assert kind
            for at, entry in enumerate(lots.values()):
                lot = replace(entry.body.lot, code=f"LOT-{number}-{at}")
                moves = tuple(replace(one, lot=lot.code) for one in entry.body.movements)
                bodies.append(
                    LotReceived(
                        lot,
                        moves,
                        entry.body.as_written,
                        goods=f"BUY-{number}" if at == 0 and number % 3 else "",
                    )
                )
            for body in (*bodies, *made_again(story, number)):
                pen.enter(body)


def made_again(story: tuple[Entry, ...], number: int) -> list[Body]:
    """Extract and tonic of the story once more, by a way of their own from a plant of their own, all steps done."""
    names = {
        "E1": f"X{number}", "T1": f"Y{number}", "CIN-01": f"BARK-{number}", "bark-extract": f"of-bark-{number}",
        "cinchona bark": f"cinchona bark {number}", "ORD-1": f"ORD-{number}",
    }  # fmt: skip
    names |= {one: f"{one}-{number}" for one in ("REC-01", "REC-02", "EAC-02")}
    told = re.compile(rf"\b({'|'.join(names)})\b")
    found: list[Body] = []
    for one in story:
        text = json.dumps(body_to_json(one.body))
        again = told.sub(lambda which: names[which[0]], text)
        if again != text and one.kind in MAKING and (one.kind != "lot received" or "CIN-01" in text):
            content = json.loads(again)
            for move in content.get("movements", ()):
                move["amount"] = max(1, move["amount"] // 1000)  # the shelf was filled for one of them
            found.append(body_from_json(one.kind, one.version, content))
    return found


MAKING = ("lot received", "procedure written", "batch begun", "step done", "units filled")


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[list[str]]]:
    """What each list asked with few of everything, and with many."""
    found: dict[str, list[list[str]]] = {one: [] for one in (*LISTS, *TRACES)}
    with opened(copied(tmp_path_factory.mktemp("lists"))) as lab:
        with lab.look() as look:
            story = look.entries()
        make_offer(lab, ASKED, by="MA")
        now = noon().isoformat()
        with lab.book.pen(by="MA", at=now, entered_at=now) as pen:
            pen.enter(GoodsOrdered("BUY-1", "cinchona bark", "2 kg", "A grower", "2026-12-03"))
            pen.enter(ComplaintHeard("T1", "a customer", "smells of vinegar"))
            pen.enter(MarkerStated(OwnMarker("marker 0")))
            pen.enter(PlantStated(OwnPlant("bark of tree 0", "bark")))
            pen.enter(IngredientStated(OwnIngredient("oil 0", "Oleum")))
        app = make_app(lab)
        pages = Pages(app)
        statements: list[str] = []
        event.listen(lab.book._reader, "before_cursor_execute", lambda *given: statements.append(given[2]))
        for first, last in ((2, FEW), (FEW, MANY)):
            more(lab, story, first + 100, last + 100)
            for one in found:
                lab.book._kept.forget()
                app.state.kept_pages = KeptPages()
                statements.clear()
                assert pages.get(one).status_code == 200, one
                found[one].append(list(statements))
        pages.close()
    return found


@pytest.mark.parametrize("one", [*LISTS, *TRACES])
def test_a_list_takes_as_many_statements_for_many_as_for_few(
    asked: dict[str, list[list[str]]], one: str
) -> None:
    few, many = asked[one]

    assert few
    assert len(many) == len(few), [it for it in many if many.count(it) > few.count(it)][:1]
