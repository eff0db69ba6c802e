"""Entries are corrected, kind by kind."""
