"""What the trade knows: pure figures and rules. No database, no framework, no clock."""
