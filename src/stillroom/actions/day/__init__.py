"""The day on the shared bench: what there is, what is to be done, and when."""
