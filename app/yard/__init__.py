"""Everything on the lot: stage, board, search, the thread of each finding."""
