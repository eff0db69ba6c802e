"""stillroom: from an order of bottles back to the plant, and from every bottle back to its reason.

As a library: every question is a function (``stillroom.dilute(...)``), and ``stillroom.laboratory(folder)``
reads a book.
"""

from typing import Any

__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """A question as a function, or ``laboratory``: loaded when it is first asked for."""
    if name == "laboratory":
        from stillroom.in_python.reading import Laboratory

        return Laboratory
    if name == "many_offers":
        from stillroom.in_python.many import many_offers

        return many_offers
    from stillroom.questions import VERBS, declared

    if name not in VERBS:
        raise AttributeError(f"module 'stillroom' has no attribute {name!r}")
    from stillroom.in_python.asking import asker

    return asker(declared(name))


def __dir__() -> list[str]:
    from stillroom.questions import VERBS

    return sorted((*globals(), "laboratory", "many_offers", *VERBS))
