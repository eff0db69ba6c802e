"""Waiting for what another process does: each look waits on the thing itself, and none waits for ever."""

from collections.abc import Callable
from time import monotonic

PATIENT_S = 120.0


def until(held: Callable[[], bool]) -> bool:
    """Whether something comes about within a patient while."""
    ends = monotonic() + PATIENT_S
    while not held():
        if monotonic() > ends:
            return False
    return True
