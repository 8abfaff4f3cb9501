"""Upgrade paths: from a request and the catalogue to what is planned, and back."""
