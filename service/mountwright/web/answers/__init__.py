"""Frozen answers turned into JSON, with their sentences."""
