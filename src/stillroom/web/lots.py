"""What can be done with a lot: its tests, release, stop, recall, rejection, count, samples, waste."""

from collections.abc import Callable
from typing import Any

from stillroom.actions.bench.lots_offered import lot_in_hand
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.lots.lots_made import is_plant_water
from stillroom.actions.lots.spirit_read import read_strength
from stillroom.actions.lots.stock_movements import SHELF_ACTS
from stillroom.actions.releasing.deciding import reject, release, stop
from stillroom.actions.testing.kinds import kinds_of_test
from stillroom.documents.blocks import Page
from stillroom.errors import BadEntry, worded
from stillroom.pages.stock import show_lot
from stillroom.questions.spirit_at_hand import KNOWN_BY
from stillroom.records.lots import Status
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import later, t
from stillroom.web.acts import link_of, serve_act
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed
from stillroom.web.pages import serve_page

router = Addresses()
HERE = "Stock"
DONE_WITH_REAGENT = {
    "try": later("Try it before use"),
    "open": later("Open the bottle"),
    "label": later("Label"),
    "certificate": later("Certificate"),
    "sell": later("Sell"),
}


def _form(lab: Laboratory, lot: str, title: str, button: str, *rows: Any, **more: Any) -> Form:
    known = lot_in_hand(lab, lot)
    return Form(
        title=title,
        kind=f"lot {lot}, {known.name}",
        button=button,
        rows=rows,
        here=HERE,
        back=f"/stock/{lot}",
        **more,
    )


def _release(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("Release {lot}", lot=lot),
        t("Release it"),
        Ask(
            "meaning",
            t("What it rests on"),
            "long",
            hint=t("What was checked: papers and label, seal, tests, identity"),
        ),
        lead=t("From then on it may be used. Signed by a person who may release."),
    )


def _stop(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("Stop {lot}", lot=lot),
        t("Stop it"),
        Ask("meaning", t("What was seen"), "long"),
        Ask(
            "below",
            t("How far"),
            choices=(
                ("alone", t("this lot alone")),
                ("all", t("a recall: everything made from it as well")),
            ),
        ),
        lead=t("A stopped lot may not be used or leave until it is released again."),
        cautions=(caution("reaction-reported"),),
        stops=True,
        links=((t("Trace {lot} first", lot=lot), f"/trace/{lot}"),),
    )


def _reject(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("Reject {lot}", lot=lot),
        t("Reject it for good"),
        Ask("meaning", t("What was found"), "long"),
        Ask("sure", t("Write {lot} to be sure", lot=lot), hint=t("A rejected lot stays rejected")),
        stops=True,
    )


def _strength(lab: Laboratory, lot: str) -> Form:
    ways = tuple((key, t(words)) for key, words in KNOWN_BY.items() if key != "bottle")
    return _form(
        lab,
        lot,
        t("Read the strength of {lot}", lot=lot),
        t("Save the strength"),
        (
            Ask("have", t("It shows"), "figure"),
            Ask("known-by", t("Read by"), choices=ways, value="alcoholometer"),
        ),
        Ask("temperature", t("Its temperature"), "figure", "°C"),
        lead=t("From then on the account of spirit takes what was read."),
        cautions=(caution("methanol"),),
    )


def _confirmed_rejection(lab: Laboratory, typed: Typed, sign: Signed, lot: str) -> Done:
    if typed["sure"] != lot:
        raise BadEntry(
            worded("A rejection is confirmed by writing {lot}", lot=lot),
            repr(typed["sure"][:40]),
            where="sure",
        )
    return reject(lab, lot, meaning=typed["meaning"], **sign)


FORMS: dict[str, tuple[Callable[..., Form], Callable[..., Done]]] = {
    "strength": (
        _strength,
        lambda lab, typed, sign, lot: read_strength(
            lab, lot, {one: typed[one] for one in ("have", "known-by", "temperature")}, **sign
        ),
    ),
    "release": (
        _release,
        lambda lab, typed, sign, lot: release(lab, lot, meaning=typed["meaning"], **sign),
    ),
    "stop": (
        _stop,
        lambda lab, typed, sign, lot: stop(
            lab, lot, meaning=typed["meaning"], with_what_was_made=typed["below"] == "all", **sign
        ),
    ),
    "reject": (_reject, _confirmed_rejection),
}
"""What can be done with any lot: its form, and what it writes."""


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    lot = code
    known = lot_in_hand(lab, lot)
    traits = known.kind.traits
    at = f"/stock/{lot}"
    doing: list[tuple[str, str, str]] = []
    with lab.look() as look:
        no_spirit = is_plant_water(look.lot(lot))
        tests = ((one, one.stands(look, look.lot(lot))) for one in kinds_of_test() if one.stands)
        doing += [link_of(one, words, lot) for one, words in tests if words]
    to_test_first = any(not style for *_, style in doing)
    if "strength" in traits.tested_by and not no_spirit:
        doing.append((t("Read its strength"), f"{at}/strength", "quiet"))
    if "drying" in traits.tested_by:
        doing.append((t("Test it"), f"/test/{lot}", "quiet"))
    if known.status in (Status.WAITING, Status.STOPPED, Status.SUSPENDED):
        doing.append(
            (t("Review and release"), f"/products/{lot}/release", "")
            if traits.on_release_list
            else (t("Release"), f"{at}/release", "quiet" if to_test_first else "")
        )
    elif "certificate" in traits.papers and known.status is Status.RELEASED:
        doing.append((t("Certificate"), f"/products/{lot}/certificate", "quiet"))
    if "label" in traits.papers:
        doing += [
            (t("Label"), f"/products/{lot}/label", "quiet"),
            (t("Keep samples"), f"{at}/keep-back", "quiet"),
        ]
    elif traits.counts_germs:
        doing.append((t("Count of microbes"), f"/products/{lot}/papers/new", "quiet"))
    if "bottle" in traits.papers:
        of = f"/reagents/lots/{lot}"
        doing += [(t(words), f"{of}/{act}", "quiet") for act, words in DONE_WITH_REAGENT.items()]
    doing += [
        (t("Count"), f"{at}/count", "quiet"),
        (t("Trace"), f"/trace/{lot}", "quiet"),
    ]
    if known.status is not Status.REJECTED:
        doing += [
            (t("Throw some away"), f"{at}/waste", "quiet"),
            (t("Stop or recall"), f"{at}/stop", "stop"),
        ]
        doing.append((t("Reject"), f"{at}/reject", "stop"))
    return {"doing": tuple(doing)}


for _name, (_shown, _does) in FORMS.items():
    serve_form(router, f"/stock/{{lot}}/{_name}", _shown, _does, then="/stock/{lot}")
for one in SHELF_ACTS.values():
    serve_act(router, one)
serve_page(router, "/stock/{code}", show_lot, here=HERE, extras=_doing)
