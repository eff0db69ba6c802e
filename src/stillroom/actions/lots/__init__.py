"""Lots come in, are read, used and leave; spirit and its account."""
