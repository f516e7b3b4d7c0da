"""Castlenut: work orders for a shop that makes used trailers safe to tow."""

import os

# Read by numpy as it is loaded: our matrices are small, and a second thread for them would take the processor
# from the search for a cut plan that runs beside.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
