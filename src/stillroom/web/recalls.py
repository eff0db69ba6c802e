"""What follows a release, from the trace: a complaint, bottles that came back, who was told, a rehearsal."""

from starlette.exceptions import HTTPException

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.releasing.recalling import hear_complaint, rehearse_recall, take_back, tell_people
from stillroom.records.lots import RETAINED, RETURNED
from stillroom.texts.catalogue import t
from stillroom.web.duties import Addresses
from stillroom.web.form_addresses import serve_form
from stillroom.web.forms import Ask, Form, Signed, Typed

router = Addresses()
HERE = "Trace"


def _orders(lab: Laboratory, lot: str, *, needed: bool) -> tuple[tuple[str, str], ...]:
    """The orders on which some of a lot went out first; where it must have been one of them, they alone."""
    with lab.look() as look:
        has = {
            account.removeprefix("customer/") for (account, _), left in look.balances(lot).items() if left > 0
        }
        orders = sorted(look.orders(), key=lambda one: one.code not in has)
    if needed and any(one.code in has for one in orders):
        orders = [one for one in orders if one.code in has]
    found = tuple((one.code, f"{one.code}, {one.customer}") for one in orders)
    return found if needed else (("", "-"), *found)


def _form(lab: Laboratory, code: str, act: str) -> Form:
    if act == "returned":
        title, lead = (
            t("Some of {lot} came back", lot=code),
            t("What came back is never put on the shelf again."),
        )
        rows: tuple[Ask, ...] = (
            Ask("order", t("Customer's order"), choices=_orders(lab, code, needed=True)),
            Ask("amount", t("How much"), hint=t("2 bottles")),
            Ask(
                "into",
                t("Where it stands now"),
                choices=(
                    (RETURNED, t("set apart as returned")),
                    (RETAINED, t("kept as a sample")),
                    ("waste", t("thrown away")),
                ),
            ),
            Ask("why", t("Why it came back"), "long"),
        )
    elif act == "complaint":
        title, lead = (
            t("A complaint about {lot}", lot=code),
            t("A released lot is suspended with it until a named person has looked."),
        )
        rows = (
            Ask("who", t("Who complains")),
            Ask("what", t("What they say"), "long"),
            Ask(
                "reacted",
                t("Did somebody react to it?"),
                choices=(("", t("nobody did, or nobody knows")), ("yes", t("skin, eyes or body reacted"))),
                required=False,
            ),
            Ask("order", t("Customer's order"), choices=_orders(lab, code, needed=False), required=False),
        )
    elif act == "told":
        title, lead = (
            t("Who was told about {lot}", lot=code),
            t("Say below when it was, if it was earlier than now."),
        )
        rows = (
            Ask("who", t("Who")),
            Ask("how", t("How"), hint=t("by telephone, letter of 2026-11-25")),
            Ask("said", t("What they answered"), "long", required=False),
            Ask("order", t("Customer's order"), choices=_orders(lab, code, needed=False), required=False),
        )
    elif act == "rehearsal":
        title, lead = (
            t("Rehearsal of a recall of {lot}", lot=code),
            t(
                "Marked as a rehearsal: it stops nothing and tells nobody. The book counts the "
                "bottles it finds."
            ),
        )
        rows = (
            Ask("minutes", t("From the question to the last bottle"), "figure", "min"),
            Ask("found", t("What was learned"), "long"),
        )
    else:
        raise HTTPException(404)
    return Form(
        title=title,
        kind="trace report",
        lead=lead,
        button=t("Save"),
        here=HERE,
        back=f"/trace/{code}",
        rows=rows,
    )


def _write(lab: Laboratory, typed: Typed, sign: Signed, code: str, act: str) -> Done:
    if act == "returned":
        return take_back(
            lab, code, typed["order"], typed["amount"], why=typed["why"], into=typed["into"], **sign
        )
    if act == "complaint":
        reacted = bool(typed["reacted"])
        return hear_complaint(
            lab, code, typed["who"], what=typed["what"], order=typed["order"], reacted=reacted, **sign
        )
    if act == "told":
        return tell_people(
            lab, code, typed["who"], how=typed["how"], said=typed["said"], order=typed["order"], **sign
        )
    if act == "rehearsal":
        return rehearse_recall(lab, code, typed.amount("minutes", "min"), found=typed["found"], **sign)
    raise HTTPException(404)


serve_form(router, "/trace/{code}/{act}", _form, _write, then="/trace/{code}", needs="checker")
