"""An address whose parameters are worked out when the first request comes near it.

Hundreds are declared at a start, and to read the signature of every one took a third of a second.
"""

from collections.abc import Callable
from threading import RLock
from typing import Any

from fastapi.routing import APIRoute
from starlette.routing import Match
from starlette.types import Scope

_ONE_AT_A_TIME = RLock()


class WorkedOutLate(APIRoute):
    """A route that knows its path, its view and what it depends on, and finds out the rest when that is asked for.

    Parameters
    ----------
    path : str
        Such as "/orders/{code}".
    endpoint : callable
        The view.
    **how
        As a route takes it.
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **how: Any) -> None:
        self.path, self.endpoint, self.dependencies = path, endpoint, list(how.get("dependencies") or ())
        self._begins_with, self._how = path.partition("{")[0], how

    def __getattr__(self, name: str) -> Any:
        """What is not known yet, with all the rest that is worked out in one go."""
        with _ONE_AT_A_TIME:
            how = self.__dict__.pop("_how", None)
            if how is not None:
                super().__init__(self.path, self.endpoint, **how)
        return object.__getattribute__(self, name)

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Whether a request is for this address."""
        if not scope["path"].removeprefix(scope.get("root_path", "")).startswith(self._begins_with):
            return Match.NONE, {}
        return super().matches(scope)
