"""A form at its address: shown, taken, and given back with what was typed where it cannot be taken.

One function registers both, so that a form is told by two things alone: what it asks, and what it does.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from inspect import Parameter, Signature, signature
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from stillroom.actions.book.laboratory import Done, Laboratory
from stillroom.web.duties import Addresses, Needs
from stillroom.web.forms import Form, Typed, TypedForm
from stillroom.web.pages import lab_of, send_form, write


def serve_form(
    router: Addresses,
    path: str,
    form: Callable[..., Form],
    does: Callable[..., Done],
    *,
    then: str | Callable[[Typed], str],
    needs: Needs = "maker",
    template: str = "form.html",
) -> None:
    """Register a form, and what it writes when it comes back.

    Parameters
    ----------
    path : str
        Such as "/orders/{code}/deliver".
    form : callable
        Takes the laboratory, the parts of the path by name, and by the names of its own fields what may be said
        behind the question mark.
    does : callable
        Takes the laboratory, what was typed, who signs, and the parts of the path by name.
    then : str or callable
        Address to go to when it was taken, with parts of the path and "{typed[field]}" in it; or made from what was
        typed.
    needs : str
        Duty of whoever signs.
    """
    taken = [
        one.replace(kind=Parameter.KEYWORD_ONLY) for one in list(signature(form).parameters.values())[1:]
    ]
    parts = [one for one in taken if f"{{{one.name}}}" in path]
    asked = [one.name for one in taken if one not in parts]

    def built(lab: Laboratory, said: Mapping[str, Any]) -> Form:
        return replace(form(lab, **said), action=path.format(**said))

    def show(request: Request, **said: Any) -> Response:
        return send_form(request, built(lab_of(request), said), template=template)

    def take(request: Request, typed: Typed, **said: Any) -> Response:
        lab = lab_of(request)
        return write(
            request,
            typed,
            lambda: built(lab, {**said, **{name: typed[name] for name in asked}}),
            lambda lab, sign: does(lab, typed, sign, **said),
            then=then(typed) if callable(then) else then.format(typed=typed, **said),
            template=template,
        )

    come = [
        Parameter("request", Parameter.KEYWORD_ONLY, annotation=Request),
        Parameter("typed", Parameter.KEYWORD_ONLY, annotation=TypedForm),
    ]
    show.__signature__ = Signature([come[0], *taken])  # type: ignore[attr-defined]
    take.__signature__ = Signature([*come, *parts])  # type: ignore[attr-defined]
    router.serve(path, show, needs=needs)
    router.serve(path, take, needs=needs, does=True)
