"""The walk-round: catalogue of checks, findings, readings, judgement."""
