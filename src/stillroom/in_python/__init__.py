"""Stillroom as a library: what ``import stillroom`` offers. Writes nothing."""
