"""The duty that each address needs, said where the address is declared; a router here takes none without.

Who is known to ask (signed in from elsewhere) is held against it before anything is read; who signs a form is held
against it at the signature. Nobody needs a duty for an address that is ``anybody``'s: to join, to sign in, the look.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from fastapi import APIRouter, Depends, Request

from stillroom.actions.house.duties import must_hold
from stillroom.web.worked_out_late import WorkedOutLate

Needs: TypeAlias = Literal["anybody", "reader", "maker", "checker", "owner"]
View: TypeAlias = Callable[..., Any]
SAFE_METHODS = ("GET", "HEAD")
"""What shows and changes nothing: every page answers both alike."""
SIGNED_IN = "signed_in"
"""Where a request carries the code of the person who is signed in."""


@dataclass(frozen=True, slots=True)
class DutyNeeded:
    """Lets a request through to its address, where whoever is signed in has the duty for it."""

    duty: Needs

    def __call__(self, request: Request) -> None:
        """Refuse who is signed in and does not have the duty."""
        person = request.scope.get(SIGNED_IN, "")
        if person and self.duty != "anybody":
            must_hold(request.app.state.lab, person, self.duty)


class Addresses(APIRouter):
    """A router each of whose addresses says the duty it needs."""

    def __init__(self) -> None:
        super().__init__(route_class=WorkedOutLate)

    def get(self, path: str, *, needs: Needs, **more: Any) -> Callable[[View], View]:  # type: ignore[override]
        """An address that shows something."""
        held = [Depends(DutyNeeded(needs))]
        return super().api_route(path, methods=[*SAFE_METHODS], dependencies=held, **more)

    def post(self, path: str, *, needs: Needs, **more: Any) -> Callable[[View], View]:  # type: ignore[override]
        """An address that does something."""
        return super().post(path, dependencies=[Depends(DutyNeeded(needs))], **more)

    def serve(
        self, path: str, view: View, *, needs: Needs, does: bool = False, name: str | None = None
    ) -> None:
        """Give a view an address.

        Parameters
        ----------
        needs : str
            Duty.
        does : bool
            Whether it does something; else it shows something.
        """
        held = [Depends(DutyNeeded(needs))]
        methods = ["POST"] if does else [*SAFE_METHODS]
        self.add_api_route(path, view, methods=methods, name=name, response_model=None, dependencies=held)


def duty_of(scope: Mapping[str, Any]) -> Needs | None:
    """The duty that the address of a request needs; None where it says none."""
    return duty_said(scope.get("route"))


def duty_said(route: Any) -> Needs | None:
    """The duty that an address says it needs; None where it says none."""
    held = (one.dependency for one in getattr(route, "dependencies", ()))
    return next((one.duty for one in held if isinstance(one, DutyNeeded)), None)
