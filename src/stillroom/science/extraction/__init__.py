"""Extraction: what liquid carries out of a plant, what the marc keeps, how a base is shaken out of water."""
