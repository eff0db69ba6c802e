"""What a long calculation found is remembered by what it was calculated from, so that nothing stale can be met.

Promises the same as calling the function again: what it finds may rest on its arguments, the language, and what is
known of one's own, and on nothing else. Says nothing about the book: what is read there is kept with its head.
"""

from collections.abc import Callable, Hashable
from functools import wraps
from threading import Lock
from typing import ParamSpec, TypeVar, cast

from stillroom.substances.own import own
from stillroom.texts.catalogue import language

Found = TypeVar("Found")
Asked = ParamSpec("Asked")
_NOT_YET = object()


class _From:
    """What something was calculated from, hashed once: a request or a stream holds hundreds of figures."""

    __slots__ = ("_hash", "_held")

    def __init__(self, held: Hashable) -> None:
        self._held, self._hash = held, hash(held)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _From) and self._held == other._held


def remember(most: int) -> Callable[[Callable[Asked, Found]], Callable[Asked, Found]]:
    """Remember the last things a function found; what it gives is never changed by whoever asked.

    Parameters
    ----------
    most : int
        How many of them. [1]
    """

    def remembering(find: Callable[Asked, Found]) -> Callable[Asked, Found]:
        found: dict[_From, object] = {}
        one_at_a_time = Lock()

        @wraps(find)
        def asked(*given: Asked.args, **named: Asked.kwargs) -> Found:
            key = _From((given, tuple(named.items()), language(), own()))
            with one_at_a_time:
                one = found.pop(key, _NOT_YET)
                if one is not _NOT_YET:
                    found[key] = one  # the last of them again
                    return cast(Found, one)
            one = find(*given, **named)
            with one_at_a_time:
                found[key] = one
                while len(found) > most:
                    del found[next(iter(found))]
            return one

        return asked

    return remembering
