"""Dose, limits, exposure, preservation, keeping, label text and cost of a product."""
