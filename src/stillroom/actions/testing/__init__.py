"""Tests, titrations, readings and the reagents they use."""
