"""A batch that does not go by its procedure: another step was done, one was left out, or the whole is given up."""

from urllib.parse import quote

from fastapi import Request
from fastapi.responses import RedirectResponse, Response

from stillroom.actions.bench.form_choices import next_up, step_names
from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.actions.making.batches import leave_out
from stillroom.actions.making.giving_up import give_up
from stillroom.errors import BadEntry
from stillroom.texts.catalogue import t
from stillroom.web.acts import serve_act
from stillroom.web.duties import Addresses
from stillroom.web.forms import Ask, Form, Signed, TypedForm
from stillroom.web.pages import lab_of, send_form, write

router = Addresses()
HERE = "Make"
DONE, ANOTHER_LOT, LEFT_OUT = "done", "another-lot", "left-out"


def _other_step(lab: Laboratory, batch: str) -> Form:
    return Form(
        title=t("Another step, or one that was not done"),
        kind=t("batch {code}", code=batch),
        lead=t(
            "A step done earlier, later or a second time is written with the time it was done; "
            "one that was not done is said so."
        ),
        action=f"/make/{batch}/other-step",
        button=t("Go on"),
        here=HERE,
        back=f"/make/{batch}",
        rows=(
            Ask(
                "step",
                t("Which step"),
                choices=tuple((name, name) for name in step_names(lab, batch)),
                value=next_up(lab, batch).step,
            ),
            Ask(
                "what",
                t("What of it"),
                choices=(
                    (DONE, t("it was done")),
                    (ANOTHER_LOT, t("it was done, with a lot that is not offered")),
                    (LEFT_OUT, t("it was not done")),
                ),
            ),
            Ask("why", t("Why not"), "long", required=False, hint=t("Needed for a step that was not done")),
        ),
    )


@router.get("/make/{batch}/other-step", needs="maker")
def other_step(request: Request, batch: str) -> Response:
    """Which step was done, or was not."""
    return send_form(request, _other_step(lab_of(request), batch))


@router.post("/make/{batch}/other-step", needs="maker")
def write_other_step(request: Request, batch: str, typed: TypedForm) -> Response:
    """Lead to the step that was done, or write that it was left out."""
    if typed["what"] in (DONE, ANOTHER_LOT):
        any_lot = "&any-lot=1" if typed["what"] == ANOTHER_LOT else ""
        step = quote(typed["step"], safe="")
        return RedirectResponse(f"/make/{quote(batch)}/step?step={step}{any_lot}", status_code=303)

    def act(lab: Laboratory, sign: Signed) -> Done:
        if typed["what"] != LEFT_OUT:
            raise BadEntry("A step was done or it was not", "neither", "Choose one", where="what")
        return leave_out(lab, batch, typed["step"], typed["why"], **sign)

    return write(request, typed, lambda: _other_step(lab_of(request), batch), act, then=f"/make/{batch}/step")


serve_act(router, give_up)
