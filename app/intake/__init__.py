"""A unit arrives: owners, units, tow vehicles, work orders, concerns."""
