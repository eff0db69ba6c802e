"""A page that lists takes the same number of questions to the book however much stands in it."""

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
    GoodsOrdered,
    LotReceived,
    OfferEnded,
    OfferMade,
    OrderTaken,
    ProcedureWritten,
)
from stillroom.web.app import make_app
from stillroom.web.kept_pages import KeptPages
from tests.actions.test_offers import ASKED
from tests.pages_in_process import Pages
from tests.practice import copied, noon, opened

SEARCHED = ("/orders", "/offers", "/goods", "/stock", "/make", "/test", "/products")
LISTS = (
    *SEARCHED, *(f"{one}?words=cinchna" for one in SEARCHED), "/bench", "/plants", "/make/procedures", "/reagents",
    "/trace", "/entries", "/laboratory", "/laboratory/instruments", "/laboratory/own",
)  # fmt: skip
FEW, MANY = 6, 18


def more(lab: Laboratory, first: int, last: int) -> None:
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
            for body in bodies:
                pen.enter(body)


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[list[str]]]:
    """What each list asked with few of everything, and with many."""
    found: dict[str, list[list[str]]] = {one: [] for one in LISTS}
    with opened(copied(tmp_path_factory.mktemp("lists"))) as lab:
        make_offer(lab, ASKED, by="MA")
        now = noon().isoformat()
        with lab.book.pen(by="MA", at=now, entered_at=now) as pen:
            pen.enter(GoodsOrdered("BUY-1", "cinchona bark", "2 kg", "A grower", "2026-12-03"))
            pen.enter(ComplaintHeard("T1", "a customer", "smells of vinegar"))
        app = make_app(lab)
        pages = Pages(app)
        statements: list[str] = []
        event.listen(lab.book._reader, "before_cursor_execute", lambda *given: statements.append(given[2]))
        for first, last in ((2, FEW), (FEW, MANY)):
            more(lab, first + 100, last + 100)
            for one in LISTS:
                lab.book._kept.forget()
                app.state.kept_pages = KeptPages()
                statements.clear()
                assert pages.get(one).status_code == 200, one
                found[one].append(list(statements))
        pages.close()
    return found


@pytest.mark.parametrize("one", LISTS)
def test_a_list_takes_as_many_statements_for_many_as_for_few(
    asked: dict[str, list[list[str]]], one: str
) -> None:
    few, many = asked[one]

    assert few
    assert len(many) == len(few), [it for it in many if many.count(it) > few.count(it)][:1]
