"""The stillroom command."""
