"""The stream from plant to bottle: kinds of step, the run with closure, readings, the account."""
