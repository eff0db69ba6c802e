"""What can be done with a lot: identity, drying, release, stop, recall, rejection, count, samples, waste."""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stillroom.actions.deciding import reject, release, stop
from stillroom.actions.dilute_entries import KNOWN_BY
from stillroom.actions.drying import weigh_again, weigh_drying
from stillroom.actions.in_hand import accepted, apparatus, drying_so_far, lot_in_hand
from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.lot_strength import CLEAR
from stillroom.actions.moving import count_stock, keep_back, throw_away
from stillroom.actions.receiving import decide_identity
from stillroom.actions.showing import show_lot
from stillroom.actions.spirit_read import read_strength
from stillroom.documents.blocks import Page
from stillroom.errors import BadEntry, worded
from stillroom.records.lots import LotKind, Status
from stillroom.reference.cautions import caution
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Choices, Form, Signed, Typed, TypedForm
from stillroom.web.outside import enter_outside, outside_form
from stillroom.web.pages import lab_of, send_form, serve_page, write

router = APIRouter()
HERE = "Stock"
DRIED = 5
TESTED = (LotKind.PLANT, LotKind.EXTRACT)
DONE_WITH_REAGENT = ("try", "open", "label", "certificate", "sell")


def scales(lab: Laboratory, *, none: str = "") -> Choices:
    """Every scale as a field offers it."""
    found = tuple((one.code, t("lots_form.instrument_to_its_step", one=one)) for one in apparatus(lab))
    return (("", none), *found) if none else found


def _form(lab: Laboratory, lot: str, title: str, act: str, button: str, *rows: Any, **more: Any) -> Form:
    known = lot_in_hand(lab, lot)
    return Form(
        title=title,
        kind=f"lot {lot}, {known.name}",
        action=f"/stock/{lot}/{act}",
        button=button,
        rows=rows,
        here=HERE,
        back=f"/stock/{lot}",
        **more,
    )


def _identity(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.right_plant"),
        "identity",
        t("lots_form.write_the_decision"),
        Ask(
            "accepted",
            t("lots_form.it_is"),
            choices=(
                ("", "choose"),
                ("yes", t("lots_form.species_part_called")),
                ("no", t("lots_form.not_what_it_is")),
            ),
        ),
        Ask("evidence", t("lots_form.on_what_evidence"), "long", hint=t("lots_form.what_was_compared_with")),
        Ask("voucher", t("lots_form.voucher_specimen"), required=False),
        cautions=(caution("wrong-plant"),),
    )


def _drying(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.loss_on_drying"),
        "drying",
        t("lots_form.reckon_the_loss"),
        Ask("apparatus", t("lots_form.scale"), choices=scales(lab)),
        (
            Ask("dish", t("lots_form.empty_dish"), "figure", "g"),
            Ask("dish-with-sample", t("lots_form.dish_with_sample"), "figure", "g"),
        ),
        *(
            Ask(
                f"dish-after-drying-{at}",
                t("lots_form.dish_after_drying", at=at),
                "figure",
                "g",
                required=at == 1,
            )
            for at in range(1, DRIED + 1)
        ),
        Ask("method-spread", t("lots_form.spread_between_portions_seen"), "figure", "%", required=False),
        lead=t("lots_form.loss_counts_once_last"),
        cautions=(caution("oven"),),
    )


def _weigh_again(lab: Laboratory, lot: str) -> Form:
    so_far, _ = drying_so_far(lab, lot)
    last = [text for name, text in so_far.items() if name.startswith("dish after drying")]
    return _form(
        lab,
        lot,
        t("lots_form.weigh_the_dish_again"),
        "weigh-again",
        t("lots_form.reckon_the_loss"),
        Ask("apparatus", t("lots_form.scale"), choices=scales(lab)),
        Ask(
            "mass",
            t("lots_form.dish_after_next_drying"),
            "figure",
            "g",
            hint=t("lots_form.it_was_last_time", last=last[-1]) if last else "",
        ),
        lead=t("lots_form.mass_not_constant_yet"),
        cautions=(caution("oven"),),
        links=((t("lots_form.dry_another_sample"), f"/stock/{lot}/drying"),),
    )


def _release(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.release_lot", lot=lot),
        "release",
        t("lots_form.release_it"),
        Ask(
            "meaning",
            t("lots_form.what_it_rests_on"),
            "long",
            hint=t("lots_form.checked_papers_label_seal"),
        ),
        lead=t("lots_form.may_used_signed_person"),
    )


def _stop(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.stop_lot", lot=lot),
        "stop",
        t("lots_form.stop_it"),
        Ask("meaning", t("lots_form.what_was_seen"), "long"),
        Ask(
            "below",
            t("lots_form.how_far"),
            choices=(
                ("alone", t("lots_form.this_lot_alone")),
                ("all", t("lots_form.recall_everything_made_well")),
            ),
        ),
        lead=t("lots_form.stopped_lot_may_not"),
        cautions=(caution("reaction-reported"),),
        stops=True,
        links=((t("lots_form.trace_first", lot=lot), f"/trace/{lot}"),),
    )


def _reject(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.reject_lot", lot=lot),
        "reject",
        t("lots_form.reject_it_for_good"),
        Ask("meaning", t("lots_form.what_was_found"), "long"),
        Ask(
            "sure", t("lots_form.write_to_be_sure", lot=lot), hint=t("lots_form.rejected_lot_stays_rejected")
        ),
        stops=True,
    )


def _count(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.count_lot", lot=lot),
        "count",
        t("lots_form.write_what_stands_there"),
        Ask("found", t("lots_form.really_stands_shelf"), hint=t("lots_form.without_its_jar_bottles")),
        Ask("scale", t("lots_form.scale"), choices=scales(lab, none="counted"), required=False),
        lead=t("lots_form.moves_nothing_stands_beside"),
    )


def _keep_back(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.keep_samples_of", lot=lot),
        "keep-back",
        t("lots_form.put_them_away"),
        Ask("amount", t("lots_form.how_many"), hint="2 bottles"),
        lead=t("lots_form.retained_samples_answer_lot"),
    )


def _throw(lab: Laboratory, lot: str) -> Form:
    return _form(
        lab,
        lot,
        t("lots_form.throw_away_some_of", lot=lot),
        "waste",
        t("lots_form.write_it_off"),
        Ask("amount", t("lots_form.how_much"), hint="12.5 g, 3 bottles"),
        Ask("why", t("lots_form.why_into_waste"), "long"),
        cautions=(caution("waste"),),
        stops=True,
    )


def _strength(lab: Laboratory, lot: str) -> Form:
    ways = tuple((key, f"{words}, {unit}") for key, (words, unit) in KNOWN_BY.items() if key != "bottle")
    return _form(
        lab,
        lot,
        t("lots_form.read_the_strength_of", lot=lot),
        "strength",
        t("lots_form.write_the_strength"),
        (
            Ask("have", t("lots_form.it_shows"), "figure"),
            Ask("known-by", t("lots_form.read_by"), choices=ways, value="alcoholometer"),
        ),
        Ask("temperature", t("lots_form.its_temperature"), "figure", "°C"),
        lead=t("lots_form.account_spirit_takes_read"),
        cautions=(caution("methanol"),),
    )


FORMS = {
    "strength": _strength,
    "identity": _identity,
    "drying": _drying,
    "weigh-again": _weigh_again,
    "outside-result": outside_form,
    "release": _release,
    "stop": _stop,
    "reject": _reject,
    "count": _count,
    "keep-back": _keep_back,
    "waste": _throw,
}


def _act(lab: Laboratory, lot: str, name: str, typed: Typed, sign: Signed) -> Done:
    if name == "identity":
        if typed["accepted"] not in ("yes", "no"):
            raise BadEntry("Identity is accepted or not", "neither", "Choose one", where="accepted")
        return decide_identity(
            lab,
            lot,
            accepted=typed["accepted"] == "yes",
            evidence=typed["evidence"],
            voucher=typed["voucher"],
            **sign,
        )
    if name == "strength":
        return read_strength(
            lab, lot, {one: typed[one] for one in ("have", "known-by", "temperature")}, **sign
        )
    if name == "drying":
        return _weigh(lab, lot, typed, sign)
    if name == "weigh-again":
        _, series = drying_so_far(lab, lot)
        return weigh_again(
            lab, lot, typed.amount("mass", "g"), apparatus=typed["apparatus"], series=series, **sign
        )
    if name == "outside-result":
        return enter_outside(lab, lot, typed, sign)
    if name == "release":
        return release(lab, lot, meaning=typed["meaning"], **sign)
    if name == "stop":
        return stop(lab, lot, meaning=typed["meaning"], with_what_was_made=typed["below"] == "all", **sign)
    if name == "reject":
        if typed["sure"] != lot:
            raise BadEntry(
                worded("A rejection is confirmed by writing {lot}", lot=lot),
                repr(typed["sure"][:40]),
                where="sure",
            )
        return reject(lab, lot, meaning=typed["meaning"], **sign)
    if name == "count":
        return count_stock(lab, lot, typed["found"], apparatus=typed["scale"], **sign)
    if name == "keep-back":
        return keep_back(lab, {lot: typed["amount"]}, **sign)
    return throw_away(lab, {lot: typed["amount"]}, why=typed["why"], **sign)


def _weigh(lab: Laboratory, lot: str, typed: Typed, sign: Signed) -> Done:
    names = [name for name in typed.fields if name.startswith("dish-after-drying-") and typed[name]]
    return weigh_drying(
        lab,
        lot,
        dish=typed.amount("dish", "g"),
        with_sample=typed.amount("dish-with-sample", "g"),
        dried=tuple(typed.amount(name, "g") for name in names),
        apparatus=typed["apparatus"],
        method_spread=typed.amount("method-spread", "%"),
        **sign,
    )


def _doing(lab: Laboratory, _: Page, code: str) -> dict[str, Any]:
    lot = code
    known = lot_in_hand(lab, lot)
    made_here = known.kind in (LotKind.EXTRACT, LotKind.PRODUCT)
    at = f"/stock/{lot}"
    doing: list[tuple[str, str, str]] = []
    undecided = known.kind is LotKind.PLANT and known.status is Status.WAITING and not accepted(lab, lot)
    if undecided:
        doing.append((t("lots_form.decide_what_it_is"), f"{at}/identity", ""))
    if known.kind in CLEAR:
        doing.append((t("lots_form.read_its_strength"), f"{at}/strength", "quiet"))
    if known.kind in TESTED:
        so_far, _series = drying_so_far(lab, lot)
        if so_far:
            doing.append((t("lots_form.weigh_the_dish_again"), f"{at}/weigh-again", ""))
        drying = t("lots_form.dry_another_sample" if so_far else "lots_form.weigh_a_drying")
        doing.append((drying, f"{at}/drying", "quiet"))
        doing.append((t("lots_form.test_it"), f"/test/{lot}", "quiet"))
    if known.kind is LotKind.INGREDIENT:
        doing.append((t("testing_form.result_of_another_laboratory"), f"{at}/outside-result", "quiet"))
    if known.status in (Status.WAITING, Status.STOPPED, Status.SUSPENDED):
        doing.append(
            (t("lots_form.review_and_release"), f"/products/{lot}/release", "")
            if made_here
            else (t("lots_form.release"), f"{at}/release", "quiet" if undecided else "")
        )
    elif made_here and known.status is Status.RELEASED:
        doing.append((t("lots_form.certificate"), f"/products/{lot}/certificate", "quiet"))
    if known.kind is LotKind.PRODUCT:
        doing += [
            (t("lots_form.label"), f"/products/{lot}/label", "quiet"),
            (t("lots_form.keep_samples"), f"{at}/keep-back", "quiet"),
        ]
    if known.kind is LotKind.REAGENT:
        of = f"/reagents/lots/{lot}"
        doing += [(t(f"with_reagent.{act}"), f"{of}/{act}", "quiet") for act in DONE_WITH_REAGENT]
    doing += [
        (t("lots_form.count"), f"{at}/count", "quiet"),
        (t("lots_form.trace"), f"/trace/{lot}", "quiet"),
    ]
    if known.status is not Status.REJECTED:
        doing += [
            (t("lots_form.throw_some_away"), f"{at}/waste", "quiet"),
            (t("lots_form.stop_or_recall"), f"{at}/stop", "stop"),
        ]
        doing.append((t("lots_form.reject"), f"{at}/reject", "stop"))
    return {"doing": tuple(doing)}


@router.get("/stock/{lot}/{act}")
def lot_form(request: Request, lot: str, act: str) -> Response:
    """One thing to do with a lot."""
    return send_form(request, _of(act)(lab_of(request), lot))


@router.post("/stock/{lot}/{act}")
def do_with_lot(request: Request, lot: str, act: str, typed: TypedForm) -> Response:
    """Do it."""
    build = _of(act)
    return write(
        request,
        typed,
        lambda: build(lab_of(request), lot),
        lambda lab, sign: _act(lab, lot, act, typed, sign),
        then=f"/stock/{lot}",
    )


def _of(act: str) -> Callable[[Laboratory, str], Form]:
    if act not in FORMS:
        raise HTTPException(404)
    return FORMS[act]


serve_page(router, "/stock/{code}", show_lot, here=HERE, extras=_doing)
