"""On the floor: who works on what since when, what a job waits for, and the second person at a hold point."""
