"""Plain functions of the laboratory's physics and chemistry: numbers or arrays in, the same out.

Knows no file, no clock, no chance and no published figure: coefficients come in as arguments. Only
``substances`` joins an equation with a published table.
"""
