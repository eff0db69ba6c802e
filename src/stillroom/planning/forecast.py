"""What a charge of a given mass of plant would give, before it is made and while it is.

``forecast`` gives lines like a plan's. ``charge_draws`` and ``charge_account`` are the same charge as draws
of its inputs and a run of the stream, so that a reading can move the inputs and the rest be run again.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from stillroom.errors import BadEntry
from stillroom.planning import picture
from stillroom.planning.figures import figure_of, keys_of
from stillroom.planning.inputs import only_roles, together_of
from stillroom.planning.lawful import refuse_unlawful
from stillroom.planning.lines import asked_of, chain_of, inputs_of, lines_of
from stillroom.planning.outcome import Forecast
from stillroom.planning.plan_inputs import Known, spread_of
from stillroom.planning.request import PlanRequest
from stillroom.planning.shelf_inputs import feeds_of
from stillroom.planning.stages import plant_of, settings_of
from stillroom.quantities.draws import Draws
from stillroom.records.procedures import Procedure
from stillroom.stream.account import Account
from stillroom.stream.components import Number
from stillroom.stream.kind import Feed, Runs
from stillroom.stream.run import run, run_for_record, runs_of

GROUPS = ("extraction", "plant", "spirit", "reagents")
LEFT_OUT = ("plant_g", "formula_spirit_g", "all_stock_spirit_g")


def forecast(request: PlanRequest, plant_g: float) -> Forecast:
    """What a charge would give.

    Parameters
    ----------
    plant_g : float
        Mass of plant as is. [g]

    Raises
    ------
    BadEntry
        The mass is not above zero.
    NotAllowed
        The plant or solvent is prohibited.
    """
    if not plant_g > 0:
        raise BadEntry("A charge must be above zero", f"{plant_g:g} g", "Weigh the plant")
    refuse_unlawful(request)
    inputs = inputs_of(request, plant_g)
    asked = asked_of(request, inputs)
    chain = chain_of(request, inputs)
    keys = [key for key in keys_of(chain) if figure_of(key).group in GROUPS and key not in LEFT_OUT]
    code = request.extraction.code
    return Forecast(
        request,
        plant_g,
        lines_of(keys, asked, inputs, chain),
        tuple(one for one in picture.bends(asked.only("supply")) if one.procedure == code),
        tuple(one for one in picture.steps(asked.only("house")) if one.procedure == code),
    )


def charge_draws(request: PlanRequest, *, decorrelated: bool = True) -> Draws:
    """Draws of every input of the extraction, ready to be moved by readings.

    Parameters
    ----------
    decorrelated : bool
        Exact sample moments, which makes conditioning exact where the stream is linear.
    """
    return _drawn(request, only_roles(inputs_of(request), "supply"), decorrelated=decorrelated)


def charge_account(request: PlanRequest, plant_g: float, draws: Draws) -> Account:
    """Run the extraction with given draws of its inputs.

    Parameters
    ----------
    plant_g : float
        Mass of plant as is. [g]
    draws : Draws
        As from ``charge_draws``, perhaps moved by readings.
    """
    feeds, settings = _charge(request, only_roles(inputs_of(request), "supply"), draws)
    return run(request.extraction, feeds, settings, np.float64(plant_g), draws.count, with_work=True)


@dataclass(frozen=True)
class Charge:
    """A charge that was begun: its inputs are looked up once, and it is run as often as readings ask."""

    request: PlanRequest
    plant_g: float
    """Mass of plant as is. [g]"""
    inputs: Mapping[str, Known]
    """By role."""

    @classmethod
    def of(cls, request: PlanRequest, plant_g: float) -> "Charge":
        """The charge of a request."""
        return cls(request, plant_g, only_roles(inputs_of(request), "supply"))

    def draws(self) -> Draws:
        """Draws of every input, ready to be moved by readings."""
        return _drawn(self.request, self.inputs, decorrelated=True)

    def must_hold(self, draws: Draws) -> None:
        """Refuse draws by which a part of the plant would be less than nothing.

        Raises
        ------
        BadEntry
            They do.
        """
        _charge(self.request, self.inputs, draws)

    def account(
        self,
        draws: Draws,
        weighed_g: Mapping[str, float] | None = None,
        *,
        until: str = "",
        with_work: bool = False,
    ) -> Account:
        """What it gives with given draws, as far as the model reaches.

        Parameters
        ----------
        weighed_g : mapping of str to float, optional
            What was weighed and does not fit the model. [g]
        until : str
            Name of something given after which nothing more is asked.
        with_work : bool
            Whether its minutes, heat and water are told too.
        """
        feeds, settings = _charge(self.request, self.inputs, draws)
        return run_for_record(
            self.request.extraction,
            feeds,
            settings,
            np.float64(self.plant_g),
            draws.count,
            weighed_g=weighed_g,
            until=until,
            with_work=with_work,
        )

    def runs(self, draws: Draws, weighed_g: Mapping[str, float] | None = None) -> dict[str, Runs]:
        """How its steps run with given draws, as far as the model reaches."""
        feeds, settings = _charge(self.request, self.inputs, draws)
        account = run_for_record(
            self.request.extraction,
            feeds,
            settings,
            np.float64(self.plant_g),
            draws.count,
            weighed_g=weighed_g,
        )
        return runs_of(self.request.extraction, account, settings)


def runs_of_starter(
    procedure: Procedure,
    inputs: Mapping[str, Known],
    plant_g: float,
    told: Mapping[str, float],
    draws: int,
) -> dict[str, Runs]:
    """How the steps of an extraction run by what its procedure and the house say, with nothing remembered.

    Parameters
    ----------
    inputs : mapping of str to Known
        By role, as ``inputs_of_extraction`` gives them.
    plant_g : float
        Mass of plant as is. [g]
    told : mapping of str to float
        What the steps are told of glass and height, by "step/name".
    """
    spreads = {
        role: spread_of(one.spread, one.value, one.uncertainty_in_unit) for role, one in inputs.items()
    }
    drawn = Draws.of({role: one for role, one in spreads.items() if one.varies}, draws, 1, decorrelated=True)
    values: dict[str, Number] = {
        role: drawn.value(role) if spreads[role].varies else one.value for role, one in inputs.items()
    }
    medians = {role: one.value for role, one in inputs.items()}
    feeds = feeds_of(procedure, values, plant_of(values, medians))
    settings = {**settings_of("extraction", values), **told}
    account = run_for_record(procedure, feeds, settings, np.float64(plant_g), draws)
    return runs_of(procedure, account, settings)


def _drawn(request: PlanRequest, inputs: Mapping[str, Known], *, decorrelated: bool) -> Draws:
    spreads = {one.name: spread_of(one.spread, one.value, one.uncertainty_in_unit) for one in inputs.values()}
    return Draws.of(spreads, request.draws, request.seed, decorrelated).together(together_of(request, inputs))


def _charge(
    request: PlanRequest, inputs: Mapping[str, Known], draws: Draws
) -> tuple[dict[str, Feed], Mapping[str, Number]]:
    varying = set(draws.varying)
    values: dict[str, Number] = {
        role: draws.value(one.name) if one.name in varying else one.value for role, one in inputs.items()
    }
    medians = {role: one.value for role, one in inputs.items()}
    feeds = feeds_of(request.extraction, values, plant_of(values, medians))
    return feeds, settings_of("extraction", values)
