"""The shared bench: jobs of several steps on one bath, one tap, one breaker and a few pairs of hands."""
