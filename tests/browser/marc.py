"""The marc of a finished run checked on the phone, and the plan of the same bark calculated again with it."""

from typing import Any

from stillroom.actions.orders.requesting import request_for
from stillroom.planning.plan_inputs import Known
from tests.browser.phone import Laptop


def others_of(bench: Laptop) -> Known:
    """What the next plan of the same bark takes for everything else that dissolves."""
    with bench.lab.look() as look:
        return next(one for one in request_for(look, "ORD-1").remembered if one.role == "other extractables")


def check_the_marc(
    bench: Laptop, phone: Any, batch: str, *, marc: str, taken: str, gave: str, extract: str
) -> None:
    """From the watch of a batch to the form, filled in and signed."""
    phone.goto(f"{bench.address}/make/{batch}/watch")
    phone.get_by_role("link", name="Check the marc").click()
    for label, value in (
        ("Dried marc in all", marc), ("Dried marc that was extracted again", taken),
        ("What it gave, dry", gave), ("Dry extract the run gave", extract),
    ):  # fmt: skip
        phone.get_by_label(label).fill(value)
    phone.get_by_label("Signed by").select_option("TO")
    phone.locator("main form button[type=submit]").last.click()


def plan_again(bench: Laptop, phone: Any) -> None:
    """The plan calculated again, until it says that it rests on own runs."""
    phone.goto(f"{bench.address}/orders/ORD-1/plan")
    again = phone.locator("details", has_text="Calculate the plan again").last
    again.locator("summary").first.click()
    again.get_by_label("Signed by").select_option("TO")
    again.locator("button[type=submit]").click()
    phone.get_by_text("This rests on runs of your own").first.wait_for()
