"""From readings to a result: drying, titration, calibration, colour test with controls, photograph."""
