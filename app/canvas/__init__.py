"""Replacement canvas of folding tent trailers: what is ordered, its measures, and what holds it back."""
