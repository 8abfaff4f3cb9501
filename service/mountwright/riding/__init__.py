"""The wheel line as it stands."""
