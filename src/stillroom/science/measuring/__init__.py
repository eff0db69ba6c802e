"""From readings to a value with its uncertainty: titration, drying, calibration, conformity."""
