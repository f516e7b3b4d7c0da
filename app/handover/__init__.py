"""The unit leaves: final check, handover, follow-ups."""
