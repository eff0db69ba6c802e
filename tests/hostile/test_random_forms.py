"""Forms filled in at random, each field with what belongs there or with what belongs nowhere: answered, never broken.

Every form of the practice laboratory that links lead to is sent again and again. What is written meanwhile stays a
whole book, and every page opens afterwards.
"""

import random
import warnings
from datetime import UTC, datetime
from typing import Any

import pytest

from stillroom.actions.book.laboratory import open_laboratory
from stillroom.web.app import make_app
from tests.hostile.attacked import FoundForm, PageRead, opened_pages
from tests.long_form import SEED, only_in_the_long_form, studied
from tests.practice import copied

SENT = studied(5_000, 200, 200)
BEGIN = (
    "/", "/bench/now", "/bench/day", "/bench/power-or-water-off", "/ask", "/orders", "/orders/new",
    "/offers", "/plants", "/stock", "/stock/new", "/stock/table", "/stock/opening", "/make", "/test",
    "/products", "/trace", "/reagents", "/laboratory", "/ask/season", "/ask/kinetics", "/ask/strengthen",
    "/ask/offer", "/ask/bed", "/spirit", "/entries/5",
)  # fmt: skip
NOT_SENT = ("/laboratory/phones", "/laboratory/new", "/laboratory/open", "/stop", "/look")
"""They open a socket or another book, or change only what this browser shows."""
GOOD = (
    "500 g", "1.5 L", "70 % v/v", "20 °C", "0.5", "12", "100 mL", "96 % v/v", "3", "2026-11-24",
    "2026-12-01T09:30", "yes", "ORD-1", "CIN-01", "E1", "SPI-01", "T1", "MA", "TO", "cinchona bark",
    "glycerin", "negative", "CHF", "quinine", "08:00", "0.10 % w/w as quinine", "40 × 100 mL",
    "1.00 EUR/kg", "0.1 mol/L", "250", "1 g\n2 g\n3 g", "0 min 0 %\n10 min 5 %",
)  # fmt: skip
BAD = (
    "", " ", "nan", "NaN g", "inf", "-inf %", "1e308", "1e308 g", "1e309", "-1", "-5 g", "0", "1 g g",
    "1,500 g", "9" * 400, "1" + "0" * 30 + " g", "\x00", "../../..", "/", "a" * 4000, "%s", "{}",
    "2026-13-45", "0001-01-01", "9999-12-31T23:59", "24:61", "\u0663", "½", "-", "=1+1", "1 ± nan g", "as",
    "1e-400 L", "3 furlongs", "E1\nT1", "101 % v/v", "-300 °C", "1 kg 5", "1e9 °C", "1_000", "\U0001f701",
    "\ud83d", "2090-01-01T00:00", "1;2;3", "a,b\n1,\n,", "\t\t\n", "𝟙 g", "١٢ g",
)  # fmt: skip


def filled(form: FoundForm, chance: random.Random) -> dict[str, str]:
    """The fields as they stand, some with another good value, some with a bad one, some left out."""
    bad = chance.choice((0.05, 0.3, 0.8))
    sent: dict[str, str] = {}
    for name, (_, value) in form.fields.items():
        drawn = chance.random()
        if drawn < bad / 8:
            continue
        sent[name] = chance.choice(BAD) if drawn < bad else value or chance.choice(GOOD)
    if chance.random() < 0.9 and "by" in form.fields:
        sent["by"] = chance.choice(("TO", "MA", "JU"))
    if chance.random() < 0.7 and "at" in form.fields:
        sent["at"] = ""
    if "request_key" in form.fields:
        sent["request_key"] = f"{chance.getrandbits(64):016x}"
    return {name: value.encode("utf-8", "replace").decode() for name, value in sent.items()}


@pytest.mark.slow
@only_in_the_long_form
def test_no_form_that_is_filled_in_at_random_breaks_a_page_or_the_book(tmp_path: Any) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the test client of this version announces another HTTP library
        from fastapi.testclient import TestClient
    chance, folder, wrong, routes = random.Random(SEED), copied(tmp_path), [], set()
    with (
        open_laboratory(folder, clock=lambda: datetime(2026, 11, 25, 9, tzinfo=UTC)) as lab,
        TestClient(
            make_app(lab),
            base_url="http://127.0.0.1:8017",
            follow_redirects=False,
            raise_server_exceptions=False,
        ) as client,
    ):
        forms: dict[str, FoundForm] = {}
        for html in opened_pages(client, BEGIN).values():
            for form in PageRead(html).forms:
                if not form.action.startswith(NOT_SENT):
                    forms.setdefault(form.method + form.pattern, form)
        every = list(forms.values())
        for number in range(SENT):
            form = every[number % len(every)]
            fields = filled(form, chance)
            routes.add(f"{form.method} {form.pattern}")
            if form.method == "get":
                answer = client.get(form.action, params={name: one[:2000] for name, one in fields.items()})
            else:
                answer = client.post(form.action, data=fields)
            if answer.status_code >= 500:
                wrong.append((form.method, form.action, fields))
        pages = opened_pages(client, BEGIN)
        report = lab.book.verify()

    assert wrong == []
    assert report.troubles == ()
    assert len(forms) > 100
    assert len(routes) == min(SENT, len(forms))
    assert len(pages) > 60
