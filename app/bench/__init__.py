"""Work and its proof: jobs, measured records, clearance."""
