"""The record of a handover: each part told from the rooms that know it."""
