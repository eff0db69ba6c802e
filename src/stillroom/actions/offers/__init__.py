"""Offers: an enquiry answered with what the book and the bench know, kept, taken, and held against what came."""
