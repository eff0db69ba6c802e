"""docs/pages.md names every page that is served, and none that is not."""

import importlib
import pkgutil
import re

import pytest
from fastapi import APIRouter

import stillroom.web
from tests.habits.source_tree import ROOT

TWIN = re.compile(r"\.(json|txt|pdf|png)$")


def served() -> set[str]:
    """Every address of the pages, with its parts in braces, without twins and what a page loads."""
    modules = [
        importlib.import_module(f"stillroom.web.{one.name}")
        for one in pkgutil.iter_modules(stillroom.web.__path__)
    ]
    routers = [module.router for module in modules if isinstance(getattr(module, "router", None), APIRouter)]
    paths = {route.path for router in routers for route in router.routes if not TWIN.search(route.path)}
    return {one for one in paths if not one.startswith("/static/")}


def listed() -> list[str]:
    """Every address on the page; one that begins with … goes on from the address before it."""
    found: list[str] = []
    for address in re.findall(r"`(/[^`]*|…/[^`]*)`", (ROOT / "docs" / "pages.md").read_text()):
        if address.startswith("…"):
            address = found[-1].rpartition("/")[0] + address.removeprefix("…")
        found.append(TWIN.sub("", address.partition("?")[0]))
    return found


def pattern(path: str) -> re.Pattern[str]:
    return re.compile(re.sub(r"{[^{}]*:path}", ".+", re.sub(r"{[^{}:]*}", "[^/]+", path)) + "$")


@pytest.mark.parametrize("path", sorted(served()))
def test_every_page_that_is_served_is_on_the_page_of_pages(path: str) -> None:
    assert [address for address in listed() if pattern(path).match(address)]


def test_every_address_on_the_page_of_pages_is_served() -> None:
    ours = [pattern(path) for path in served()]

    assert len(ours) > 20
    assert [address for address in listed() if not any(one.match(address) for one in ours)] == []


def test_every_form_of_a_lot_is_on_the_page_of_pages() -> None:
    from stillroom.actions.lots.stock_movements import SHELF_ACTS
    from stillroom.actions.testing.kinds import kinds_of_test
    from stillroom.web import lots

    ends = {address.rpartition("/")[2] for address in listed()}

    tests = {one.address.rpartition("/")[2] for one in kinds_of_test()}
    assert sorted({*lots.FORMS, *SHELF_ACTS, *tests} - ends) == []
