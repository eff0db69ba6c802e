"""What follows a suspension or a recall, from the trace: bottles that came back, who was told, a rehearsal."""

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from stillroom.actions.laboratory import Done, Laboratory
from stillroom.actions.recalling import WHERE_TO, rehearse_recall, take_back, tell_people
from stillroom.texts.catalogue import t
from stillroom.web.forms import Ask, Form, Signed, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = APIRouter()
HERE = "Trace"


def _orders(lab: Laboratory, *, needed: bool) -> tuple[tuple[str, str], ...]:
    with lab.look() as look:
        found = tuple((one.code, f"{one.code}, {one.customer}") for one in look.orders())
    return found if needed else (("", "-"), *found)


def _form(lab: Laboratory, code: str, act: str) -> Form:
    if act == "returned":
        title, lead = t("recall.take_back_of", lot=code), t("recall.not_sold_again")
        rows: tuple[Ask, ...] = (
            Ask("order", t("recall.order"), choices=_orders(lab, needed=True)),
            Ask("amount", t("recall.amount"), hint=t("recall.amount_hint")),
            Ask("into", t("recall.into"), choices=tuple((one, t(f"recall.{one}")) for one in WHERE_TO)),
            Ask("why", t("recall.why"), "long"),
        )
    elif act == "told":
        title, lead = t("recall.tell_about", lot=code), t("recall.when_told")
        rows = (
            Ask("who", t("recall.who")),
            Ask("how", t("recall.how"), hint=t("recall.how_hint")),
            Ask("said", t("recall.said"), "long", required=False),
            Ask("order", t("recall.order"), choices=_orders(lab, needed=False), required=False),
        )
    elif act == "rehearsal":
        title, lead = t("recall.rehearse_of", lot=code), t("recall.rehearse_lead")
        rows = (
            Ask("minutes", t("recall.minutes"), "figure", "min"),
            Ask("found", t("recall.found"), "long"),
        )
    else:
        raise HTTPException(404)
    return Form(
        title=title,
        kind="trace report",
        lead=lead,
        action=f"/trace/{code}/{act}",
        button=t("recall.save"),
        here=HERE,
        back=f"/trace/{code}",
        rows=rows,
    )


@router.get("/trace/{code}/{act}")
def recall_form(request: Request, code: str, act: str) -> Response:
    """Room for what came back, who was told, or a rehearsal."""
    return send_form(request, _form(lab_of(request), code, act))


@router.post("/trace/{code}/{act}")
def write_recall(request: Request, code: str, act: str, typed: TypedForm) -> Response:
    """Write it."""

    def do(lab: Laboratory, sign: Signed) -> Done:
        if act == "returned":
            return take_back(
                lab, code, typed["order"], typed["amount"], why=typed["why"], into=typed["into"], **sign
            )
        if act == "told":
            return tell_people(
                lab, code, typed["who"], how=typed["how"], said=typed["said"], order=typed["order"], **sign
            )
        return rehearse_recall(lab, code, typed.amount("minutes", "min"), found=typed["found"], **sign)

    return write(request, typed, lambda: _form(lab_of(request), code, act), do, then=f"/trace/{code}")
