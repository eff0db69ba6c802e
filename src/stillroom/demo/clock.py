"""A clock that a story sets: the practice laboratory always comes out the same."""

from datetime import UTC, datetime


class StoryClock:
    """Shows the time it was last set to, in UTC."""

    def __init__(self, start: str) -> None:
        self._now = _moment(start)

    def __call__(self) -> datetime:
        """The time the story stands at."""
        return self._now

    def at(self, text: str) -> datetime:
        """Set the clock and give the time: "2026-11-02 08:15"."""
        self._now = _moment(text)
        return self._now

    def earlier(self, text: str) -> datetime:
        """A time the clock has passed, left where it stands."""
        return _moment(text)


def _moment(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)
