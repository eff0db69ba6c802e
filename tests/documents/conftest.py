"""The practice laboratory, for the tests of this folder."""

from tests.practice import extracted, lab, told

__all__ = ["extracted", "lab", "told"]
