"""What may hang on a circuit breaker at once.

Promises volts times amperes times the share one plans to. Knows nothing of the wiring behind the socket: an electrician
does.
"""

from typing import cast

import numpy as np

from stillroom.evidence.formulas import formula
from stillroom.science.arrays import N, array, like_given, refuse_not_positive, refuse_outside

PLANNED_SHARE = 0.8
"""Common practice, no source: a breaker is planned to four fifths."""


@formula("most-on-breaker")
def most_w(current_a: N | float, voltage_v: N | float, planned_share: N | float = PLANNED_SHARE) -> N:
    """Most power to plan on a breaker.

    Parameters
    ----------
    current_a : float or array
        Printed on the breaker [A].
    voltage_v : float or array
        Of the mains [V].
    planned_share : float or array
        Share of the breaker one plans to [1].

    Returns
    -------
    float or array
        Power [W].

    Raises
    ------
    BadEntry
        When current or voltage is not above zero.
    OutsideModel
        When the share is not between 0.1 and 1.

    Examples
    --------
    >>> most_w(16.0, 230.0)
    2944.0

    References
    ----------
    common-practice
    """
    current, voltage, share = array(current_a), array(voltage_v), array(planned_share)
    refuse_not_positive("The breaker's current", current, "A")
    refuse_not_positive("The mains voltage", voltage, "V")
    refuse_outside("The planned share", share, 0.1, 1.0, "1", source="common practice, no source: 0.8")
    return cast(N, like_given(np.asarray(current * voltage * share)))
