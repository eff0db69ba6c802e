"""What each line of a step still to be done is expected to weigh, going by what was weighed before it."""

import numpy as np

from stillroom.actions.orders.forecasting import account_of_course
from stillroom.store.reader import Reader
from stillroom.stream.components import whole_mass


def expected_g(look: Reader, batch: str) -> dict[str, float]:
    """The middle of what every line of an extraction weighs after what was weighed; empty where nothing was [g]."""
    weighed = any(one.direction != "in" for entry in look.steps(batch) for one in entry.body.weighings)
    account = account_of_course(look, batch) if weighed else None
    if account is None:
        return {}
    return {
        name: float(np.median(whole_mass(stream)))
        for step in account.steps
        if account.reaches(step.name)
        for name, stream in step.given.items()
    }
