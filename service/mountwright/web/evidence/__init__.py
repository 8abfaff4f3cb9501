"""What shops tell of pairs that were tried, and where that does not agree with the catalogue."""
