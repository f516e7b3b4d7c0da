"""Price and consent: kits, work, lines, totals, revisions, the owner's word."""
