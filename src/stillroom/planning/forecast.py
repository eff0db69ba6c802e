"""What a charge of a given mass of plant would give, before it is made and while it is.

``forecast`` gives lines like a plan's. ``charge_draws`` and ``charge_account`` are the same charge as draws
of its inputs and a run of the stream, so that a reading can move the inputs and the rest be run again.
"""

import numpy as np

from stillroom.errors import BadEntry
from stillroom.planning import picture
from stillroom.planning.feeds import feeds_of
from stillroom.planning.figures import figure_of, keys_of
from stillroom.planning.inputs import only_roles
from stillroom.planning.known import spread_of
from stillroom.planning.lawful import refuse_unlawful
from stillroom.planning.lines import asked_of, chain_of, inputs_of, lines_of
from stillroom.planning.outcome import Forecast
from stillroom.planning.request import PlanRequest
from stillroom.planning.stages import plant_of, settings_of
from stillroom.quantities.draws import Draws
from stillroom.stream.components import Number
from stillroom.stream.run import Account, run

GROUPS = ("extraction", "plant", "spirit", "reagents")
LEFT_OUT = ("plant_g", "formula_spirit_g", "all_stock_spirit_g")


def forecast(request: PlanRequest, plant_g: float) -> Forecast:
    """What a charge would give.

    Parameters
    ----------
    request : PlanRequest
    plant_g : float
        Mass of plant as is. [g]

    Returns
    -------
    Forecast

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
    request : PlanRequest
    decorrelated : bool
        Exact sample moments, which makes conditioning exact where the stream is linear.
    """
    inputs = only_roles(inputs_of(request), "supply").values()
    spreads = {one.name: spread_of(one.spread, one.value, one.uncertainty_in_unit) for one in inputs}
    return Draws.of(spreads, request.draws, request.seed, decorrelated)


def charge_account(request: PlanRequest, plant_g: float, draws: Draws) -> Account:
    """Run the extraction with given draws of its inputs.

    Parameters
    ----------
    request : PlanRequest
    plant_g : float
        Mass of plant as is. [g]
    draws : Draws
        As from ``charge_draws``, perhaps moved by readings.
    """
    inputs = only_roles(inputs_of(request), "supply")
    varying = set(draws.varying)
    values: dict[str, Number] = {
        role: draws.value(one.name) if one.name in varying else one.value for role, one in inputs.items()
    }
    medians = {role: one.value for role, one in inputs.items()}
    feeds = feeds_of(request.extraction, values, plant_of(values, medians))
    settings = settings_of("extraction", values)
    return run(request.extraction, feeds, settings, np.float64(plant_g), draws.count, with_work=True)
