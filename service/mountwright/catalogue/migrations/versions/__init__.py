"""One step a file; each says how to go on from the one before."""
