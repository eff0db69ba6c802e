"""What a long calculation found is remembered by what it was calculated from, so that nothing stale can be met.

Promises the same as calling the function again: what it finds may rest on its arguments, the language, and what is
known of one's own, and on nothing else. Says nothing about the book: what is read there is kept with its head.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from functools import wraps
from threading import Lock
from typing import ParamSpec, TypeVar

from stillroom.substances.own import own
from stillroom.texts.catalogue import language

Found = TypeVar("Found")
Asked = ParamSpec("Asked")


def remember(most: int) -> Callable[[Callable[Asked, Found]], Callable[Asked, Found]]:
    """Remember the last things a function found; what it gives is never changed by whoever asked.

    Parameters
    ----------
    most : int
        How many of them. [1]
    """

    def remembering(find: Callable[Asked, Found]) -> Callable[Asked, Found]:
        found: OrderedDict[Hashable, Found] = OrderedDict()
        one_at_a_time = Lock()

        @wraps(find)
        def asked(*given: Asked.args, **named: Asked.kwargs) -> Found:
            key = (given, tuple(named.items()), language(), own())
            with one_at_a_time:
                if key in found:
                    found.move_to_end(key)
                    return found[key]
            one = find(*given, **named)
            with one_at_a_time:
                found[key] = one
                while len(found) > most:
                    found.popitem(last=False)
            return one

        return asked

    return remembering
