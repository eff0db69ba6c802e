"""Where the mass of a run went: what each step took, gave and lost, as far as the model reached."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from stillroom.errors import UnknownName
from stillroom.stream.components import Grams, nothing, whole_mass
from stillroom.stream.kind import Work


@dataclass(frozen=True, slots=True)
class StepAccount:
    """What one step took, gave and lost, in grams of components by draws."""

    name: str
    kind: str
    taken: Mapping[str, Grams]
    given: Mapping[str, Grams]
    losses: Mapping[str, Grams]
    work: Work


@dataclass(frozen=True, slots=True)
class Account:
    """Where the mass went."""

    steps: tuple[StepAccount, ...]
    from_shelf: Mapping[str, Grams]
    """What each line of the procedure gave. [g]"""
    outs: Mapping[str, Grams]
    """What was given and not taken again: the product, and all that stays behind. [g]"""
    stopped_at: str = ""
    """Step the model does not reach; it stands last in ``steps``, with what it takes. "" where all are reached."""
    because: str = ""
    """Why it does not."""

    def reaches(self, step: str) -> bool:
        """Whether the model got through a step."""
        return step != self.stopped_at and any(one.name == step for one in self.steps)

    def gives(self, name: str) -> bool:
        """Whether some step gave something of that name."""
        return any(name in one.given for one in self.steps)

    def step(self, name: str) -> StepAccount:
        """The account of one step.

        Raises
        ------
        UnknownName
            There is no such step.
        """
        for one in self.steps:
            if one.name == name:
                return one
        raise UnknownName.among(name, "a step of this account", (one.name for one in self.steps))

    def given(self, name: str) -> Grams:
        """What some step gave under that name, whether or not it was taken again [g].

        Raises
        ------
        UnknownName
            Nothing of that name was given.
        """
        for one in self.steps:
            if name in one.given:
                return one.given[name]
        raise UnknownName.among(name, "something given", (key for one in self.steps for key in one.given))

    def middles(self, component: int) -> "Account":
        """The same with one draw: the median of the whole mass, and within it the median of one component.

        Parameters
        ----------
        component : int
            Row of the component. [-]
        """

        def middle(streams: Mapping[str, Grams]) -> dict[str, Grams]:
            found = {}
            for name, stream in streams.items():
                one = np.zeros((len(stream), 1))
                one[component] = np.median(stream[component])
                one[component - 1] = np.median(whole_mass(stream)) - one[component]
                found[name] = one
            return found

        steps = tuple(
            replace(one, taken=middle(one.taken), given=middle(one.given), losses=middle(one.losses))
            for one in self.steps
        )
        return replace(self, steps=steps, from_shelf=middle(self.from_shelf), outs=middle(self.outs))

    def middle_to_json(self, component: int) -> dict[str, object]:
        """An account of which the middle alone is kept, as JSON content.

        Parameters
        ----------
        component : int
            Row of the component that ``middles`` kept. [-]
        """

        def two(streams: Mapping[str, Grams]) -> dict[str, list[float]]:
            return {name: one[component - 1 : component + 1, 0].tolist() for name, one in streams.items()}

        return {
            "steps": [
                [one.name, one.kind, two(one.taken), two(one.given), two(one.losses)] for one in self.steps
            ],
            "from_shelf": two(self.from_shelf),
            "outs": two(self.outs),
            "stopped_at": self.stopped_at,
            "because": self.because,
        }

    @classmethod
    def middle_from_json(cls, content: Any, component: int) -> "Account":
        """The account whose middle was kept so.

        Parameters
        ----------
        content : dict
            As ``middle_to_json`` gave it.
        component : int
            Row of the component that was kept. [-]
        """

        def whole(streams: Mapping[str, list[float]]) -> dict[str, Grams]:
            found = {}
            for name, two in streams.items():
                found[name] = nothing(1)
                found[name][component - 1 : component + 1, 0] = two
            return found

        steps = tuple(
            StepAccount(name, kind, whole(taken), whole(given), whole(losses), Work())
            for name, kind, taken, given, losses in content["steps"]
        )
        outs, from_shelf = whole(content["outs"]), whole(content["from_shelf"])
        return cls(steps, from_shelf, outs, content["stopped_at"], content["because"])

    def rows(self, component: int | None = None) -> tuple["Row", ...]:
        """The account as a table: what went into, came out of and was lost at each step.

        Parameters
        ----------
        component : int, optional
            Row of one component; the whole mass when left out. [-]
        """
        found = []
        for one in self.steps:
            for role, streams in (("in", one.taken), ("out", one.given), ("lost", one.losses)):
                for name, stream in streams.items():
                    mass_g = whole_mass(stream) if component is None else stream[component]
                    low, middle, high = np.percentile(mass_g, (5.0, 50.0, 95.0))
                    found.append(Row(one.name, role, name, float(middle), float(low), float(high)))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the account: median, 5 and 95 % [g]."""

    step: str
    role: str
    name: str
    median_g: float
    low_g: float
    high_g: float
