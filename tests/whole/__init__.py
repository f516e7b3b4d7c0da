"""What holds for every page and every form, found by following links: a room added later is covered."""
