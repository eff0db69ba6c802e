"""Addresses that are worked out, and pages that are fetched, when the first request comes near them.

Hundreds are declared at a start: to read the signature of every one took a third of a second, to fetch all that is
behind them nearly half a second more.
"""

import gc
from collections.abc import Callable, Iterable, MutableSequence
from threading import Lock, RLock
from typing import Any

from fastapi.routing import APIRoute
from starlette.routing import BaseRoute, Match
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


class FetchedLate(BaseRoute):
    """Stands behind the addresses that are known and fetches all others, before it is said that there are none.

    Parameters
    ----------
    known : mutable sequence of BaseRoute
        The addresses of an application, this among them; the others come behind it.
    fetch : callable
        Gives the others.
    """

    def __init__(self, known: MutableSequence[BaseRoute], fetch: Callable[[], Iterable[BaseRoute]]) -> None:
        self._known, self._fetch, self._one_at_a_time = known, fetch, Lock()
        self.is_fetched = False

    def fetch(self) -> None:
        """Fetch the others, where that is not done yet."""
        with self._one_at_a_time:
            if not self.is_fetched:
                self._known.extend(self._fetch())
                self.is_fetched = True
                if (
                    gc.get_freeze_count()
                ):  # as what was fetched before: it stays, and is searched for rubbish no more
                    gc.freeze()

    def matches(self, scope: Scope) -> tuple[Match, Scope]:  # noqa: ARG002 -- as every route is asked
        """None of its own; who looks on finds the others behind it."""
        self.fetch()
        return Match.NONE, {}
