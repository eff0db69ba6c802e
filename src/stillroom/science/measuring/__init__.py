"""Measuring: titration, drying, the uncertainty of a result, and what a result says about a limit."""
