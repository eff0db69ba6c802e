"""How a Soxhlet runs, as a plan and a batch sheet say it: strengths, minutes, heat, what comes out, what cannot be.

Sentences say before the run what the trade does not know: a watery spirit does not reach the plant as it was poured.
What cannot fit, boil or be cooled with the glass at hand stands in a plan's way, never in a record's.
"""

from collections.abc import Iterable

import numpy as np

from stillroom.errors import NotEnough, StillroomError, worded
from stillroom.science.heat.condensers import least_flow_l_min
from stillroom.stream.components import Array
from stillroom.stream.kind import RunFigure, Runs, Settings
from stillroom.stream.kinds.fits_the_glass import (
    EXTRACTOR,
    condenser_takes,
    flask_holds,
    heater_is_there,
    less_than_full,
)
from stillroom.stream.kinds.heating import J_PER_KWH
from stillroom.stream.kinds.soxhlet_run import MOST_KEPT_SHARE, SPARE_SIPHONS, Thimble
from stillroom.substances.spirits import spirit_volume_fraction_20c
from stillroom.texts.catalogue import later, t

APART_PERCENT = 3.0
"""From here on the strength on the plant is not the one poured. [% v/v]"""
WATERY_PERCENT = 45.0
"""A flask weaker than this may let resin drop (common practice, no source). [% v/v]"""
WATER_RISE_K = 5.0
WORTH_SAVING_SHARE = 0.05
"""Spirit left over is told from this share of all on. [1]"""


def shown(one: Thimble, settings: Settings) -> Runs:
    """How a thimble runs, what is to be known of it, and what the glass at hand cannot do.

    Parameters
    ----------
    settings : mapping
        Of the step.
    """
    course, many = one.course, np.ceil(np.round(one.parts, 6))
    watts, minutes = one.last(course.cooling_w), many * one.last(course.at_min)
    percent = {
        name: 100.0 * np.asarray(spirit_volume_fraction_20c(one.last(figures)))
        for name, figures in (
            ("thimble", course.thimble_mass_fraction),
            ("before", course.flask_before_mass_fraction),
            ("after", course.flask_after_mass_fraction),
        )
    }
    unpoured_ml = np.where(one.parts < 1.0, one.poured_ml - one.own_ml * one.parts, 0.0)
    least_ml = np.maximum(one.last(course.flask_ml) - unpoured_ml, 0.0)
    poured = 100.0 * np.asarray(spirit_volume_fraction_20c(np.asarray(course.set_up.poured_mass_fraction)))
    figures = (
        RunFigure(later("Fillings of the thimble"), many, ""),
        RunFigure(later("Dry plant in each"), one.plant_g * np.minimum(one.parts, 1.0), "g"),
        RunFigure(later("Strength poured"), poured, "% v/v"),
        RunFigure(later("Strength on the plant, in the thimble as it siphons"), percent["thimble"], "% v/v"),
        RunFigure(later("Strength in the flask just before it siphons"), percent["before"], "% v/v"),
        RunFigure(later("Strength in the flask just after"), percent["after"], "% v/v"),
        RunFigure(later("Hottest the flask boils"), one.last(course.boiling_c), "°C"),
        RunFigure(later("Thimble, on average"), one.last(course.thimble_c), "°C"),
        RunFigure(later("Heater on until the first drop"), np.asarray(course.warm_up_min), "min"),
        RunFigure(later("Until the thimble siphons first, from the first drop"), course.siphoning_min[0], "min"),
        RunFigure(later("One siphoning after that"), one.last(course.siphoning_min), "min"),
        RunFigure(later("Siphonings"), one.siphonings.astype(np.float64), ""),
        RunFigure(later("Least in the flask"), least_ml, "mL"),
        RunFigure(
            later("Out of the plant, of the marker within reach"), 100 * one.last(one.marker.out_share), "%"
        ),
        RunFigure(
            later("Out of the plant, of what else is within reach"), 100 * one.last(one.others.out_share), "%"
        ),
        RunFigure(later("Marker still inside the cells"), 100 * one.last(one.marker.slow_share), "%"),
        RunFigure(later("Hours, all fillings"), minutes / 60.0, "h"),
        RunFigure(
            later("Electricity, all fillings"), one.parts * one.electric_j(settings) / J_PER_KWH, "kWh"
        ),
        RunFigure(later("Heat the condenser takes"), watts, "W"),
        RunFigure(
            later("Cooling water that leaves 5 K warmer"), np.asarray(least_flow_l_min(watts, WATER_RISE_K)), "L/min"
        ),
    )  # fmt: skip
    says = tuple(
        _to_be_known(
            one,
            float(np.median(poured)),
            {name: float(np.median(p)) for name, p in percent.items()},
            settings,
        )
    )
    return Runs(figures, says, minutes, tuple(_cannot(one, watts, settings)))


def _to_be_known(one: Thimble, poured: float, percent: dict[str, float], settings: Settings) -> Iterable[str]:
    """What the trade does not know, before it begins."""
    if percent["thimble"] - poured > APART_PERCENT:
        yield t(
            "Poured is {poured:.0f} % v/v, but the plant is washed by {thimble:.0f} % v/v, and the flask goes down to "
            "{flask:.0f} % v/v. Whoever wants {poured:.0f} % v/v on the plant percolates, macerates or boils it under "
            "reflux instead.",
            poured=poured, thimble=percent["thimble"], flask=percent["before"],
        )  # fmt: skip
    if percent["before"] < WATERY_PERCENT:
        yield t("Resin may drop out in so watery a flask.")
    yield from less_than_full(one.parts, one.plant_g)
    many, first_ml, more_ml = _shared_out(one)
    if many > 1 and more_ml:
        yield t(
            "{many} fillings of {plant:.0f} g, the spirit used again: {first:.0f} mL into the flask, and {more:.0f} mL "
            "more before each further filling.",
            many=many, plant=float(np.median(one.plant_g)), first=first_ml, more=more_ml,
        )  # fmt: skip
        all_ml = float(np.median(one.own_ml * one.parts))
        if (spare_ml := all_ml - first_ml - (many - 1) * more_ml) > WORTH_SAVING_SHARE * all_ml:
            yield t("{spare:.0f} mL of the spirit planned are more than that needs.", spare=spare_ml)
    elif many > 1:
        yield t(
            "{many} fillings of {plant:.0f} g, each with {first:.0f} mL of spirit of its own. Used again, {least:.0f} "
            "mL in all would do: {more:.0f} mL more before each further filling.",
            many=many, plant=float(np.median(one.plant_g)), first=first_ml, more=float(np.median(one.kept_ml)),
            least=_needed_ml(one) + (many - 1) * float(np.median(one.kept_ml)),
        )  # fmt: skip
    if EXTRACTOR in settings:
        yield t(
            "In your extractor that siphons at {holds:.0f} mL.",
            holds=float(np.median(np.asarray(settings[EXTRACTOR]))),
        )
    yield t(
        "No published table of a Soxhlet's yield over time was found: the model is checked by its parts, against "
        "another integration, a printed vapour table and what must close. Your own runs are better than it."
    )


def _shared_out(one: Thimble) -> tuple[int, float, float]:
    """How many fillings, spirit for the first, and for each further one where it is used again [1, mL, mL]."""
    many = int(np.median(np.ceil(np.round(one.parts, 6))))
    all_ml, poured_ml = float(np.median(one.own_ml * one.parts)), float(np.median(one.poured_ml))
    kept_ml = float(np.median(one.kept_ml))
    if many > 1 and float(np.median(one.own_ml)) < _needed_ml(one):
        return many, min(all_ml - (many - 1) * kept_ml, poured_ml), kept_ml
    return many, poured_ml, 0.0


def _needed_ml(one: Thimble) -> float:
    return float(np.median(SPARE_SIPHONS * one.siphon_ml + one.kept_ml))


def _cannot(one: Thimble, watts: Array, settings: Settings) -> Iterable[StillroomError]:
    """Why it cannot be planned with the glass at hand."""
    many, first_ml, more_ml = _shared_out(one)
    needed_ml, parts = _needed_ml(one), float(np.median(one.parts))
    all_ml = float(np.median(one.own_ml * one.parts))
    stays_ml, empties_ml = (
        float(np.median(ml)) for ml in (one.plant_g * settings["heel_ml_per_g"], one.siphon_ml)
    )
    if stays_ml > MOST_KEPT_SHARE * empties_ml:
        yield NotEnough(
            "The extractor must empty more than it keeps",
            worded("{stays:.0f} mL stay of {holds:.0f} mL", stays=stays_ml, holds=empties_ml),
            "Take less plant in each filling, or a larger extractor",
        )
    if EXTRACTOR in settings and parts < 1.0 and all_ml < needed_ml:
        yield NotEnough(
            "The spirit of so little plant must fill the extractor one and a half times, or the flask runs dry",
            worded("{all:.0f} mL of {needed:.0f} mL", all=all_ml, needed=needed_ml),
            "Pour more, or take a smaller extractor",
        )
    if one.power_w is not None:
        yield from heater_is_there(one.power_w, settings)
    if more_ml and first_ml < needed_ml:
        yield NotEnough(
            "The first filling needs one and a half siphonings and what the plant soaks up, or the flask runs dry",
            worded("{first:.0f} mL of {needed:.0f} mL", first=first_ml, needed=needed_ml),
            worded(
                "Pour at least {all:.0f} mL in all", all=needed_ml + (many - 1) * more_ml
            ),
        )  # fmt: skip
    yield from flask_holds(first_ml, settings)
    yield from condenser_takes(watts, settings)
