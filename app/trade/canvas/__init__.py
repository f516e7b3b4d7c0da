"""Canvas of folding tent trailers: pieces, cut plan, drawings, promise, and what an order must know.

Lengths are Decimal millimetres, angles Decimal degrees. A piece is seen from its outside face, x to the
right and y up, its corners lettered A, B, C ... against the clock, so that the cloth lies on the left.
"""
