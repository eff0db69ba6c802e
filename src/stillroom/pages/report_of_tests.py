"""The report of tests a customer asked for: each result with its doubt, its method, who read it and when."""

from stillroom.actions.bench.next_without_bottles import samples_of, tested_on, tests_missing
from stillroom.actions.book.laboratory import Laboratory
from stillroom.actions.book.page_facts import facts_of
from stillroom.documents.blocks import Block, Cell, Facts, Heading, Link, Page, PenLines, Points, Prose, Table
from stillroom.documents.numbers_shown import number
from stillroom.errors import BadEntry
from stillroom.quantities.basis import counted_once
from stillroom.records.lots import Lot
from stillroom.records.orders import Order
from stillroom.store.reader import Reader
from stillroom.texts.catalogue import t, word

LIMITS_K = 2.0
"""A result is told with twice its standard uncertainty, about 95 of 100. [1]"""


def show_test_report(lab: Laboratory, code: str) -> Page:
    """The report of an order of tests, whole or with what is missing named.

    Parameters
    ----------
    code : str
        Of the order.

    Raises
    ------
    BadEntry
        The order asks for no tests.
    """
    with lab.look() as look:
        order = look.order(code)
        if order.what != "tests":
            raise BadEntry(
                "A report is of an order of tests", code, "Open the certificate of its lot instead"
            )
        samples = samples_of(look, order)
        blocks: list[Block] = [
            Facts(
                (
                    (t("Customer"), order.customer),
                    (t("Asked"), order.asks),
                    (t("Tests"), ", ".join(word(one) for one in order.tests)),
                )
            )
        ]
        awaited = order.units - len(samples)
        if awaited > 0:
            blocks.append(Points((t("{count} samples are not here yet.", count=awaited),), "missing"))
        for lot in samples:
            blocks += _of_sample(look, order, lot)
        blocks += [
            Prose(
                t(
                    "A result holds for the sample as it came. ± is twice the standard uncertainty: the truth lies "
                    "within in about 95 of 100."
                ),
                quiet=True,
            ),
            PenLines((t("Read by"), t("Looked at again by"), t("Date"))),
        ]
        whole = bool(tested_on(look, order))
        return Page(
            t("Report of tests, {code}", code=code),
            "report",
            code,
            tuple(blocks),
            **facts_of(look),
            lead=t("Every test that was asked for is done.") if whole else t("Not whole yet."),
            href=f"/orders/{code}/report",
        )


def _of_sample(look: Reader, order: Order, lot: Lot) -> list[Block]:
    rows: list[tuple[Cell, ...]] = [
        (
            t("identity"),
            t("as named") if one.body.accepted else t("not as named"),
            one.body.evidence,
            one.by,
            one.done_at[:10],
        )
        for one in look.identities(lot.code)
    ]
    for one in look.results(lot.code):
        body = one.body
        doubt = f" ± {number(LIMITS_K * body.standard_uncertainty)}" if body.standard_uncertainty else ""
        value = f"{number(body.value)}{doubt} {body.unit}".strip()
        if not body.counts:
            value = t("no result: {because}", because=body.because)
        rows.append(
            (
                word(body.what),
                value,
                f"{counted_once(body.basis)}; {body.method}".strip("; "),
                one.by,
                one.done_at[:10],
            )
        )
    rows += [
        (one.body.test, word(one.body.outcome), t("with controls"), one.by, one.done_at[:10])
        for one in look.tests(lot.code)
    ]
    missing = tests_missing(look, order, lot.code)
    head = (t("Test"), t("Result"), t("Of what, and how"), t("Read by"), t("When"))
    return [
        Heading(t("Sample {lot}: {name}", lot=lot.code, name=lot.name)),
        *([Table(head, tuple(rows))] if rows else []),
        *(
            [Points((t("Not done yet: {tests}.", tests=", ".join(word(one) for one in missing)),), "missing")]
            if missing
            else []
        ),
        Facts(((t("The lot, with every reading"), Link(lot.code, f"/stock/{lot.code}")),)),
    ]
