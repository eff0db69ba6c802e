"""Acids, alkalis and their solutions: density and strength, thinning, pH by charge balance, titrants."""
