"""The demo: a made-up shop, played in through the same steps that the pages use."""

from app.demo.play import furnish

__all__ = ["furnish"]
