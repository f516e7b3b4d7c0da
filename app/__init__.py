"""Castlenut: work orders for a shop that makes used trailers safe to tow."""
