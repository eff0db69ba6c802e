"""A running extraction is watched."""
