"""The workbench: every figure of the trade by itself, for a question without a work order."""
