"""Batches are begun, weighed, noted and ended."""
