"""A reading session for the page of a handover."""

from functools import partial

from app.ground.keyed import found as found_of

NO_SUCH = "There is no such handover."
found = partial(found_of, no_such=NO_SUCH)
