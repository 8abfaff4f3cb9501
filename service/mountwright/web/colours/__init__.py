"""Colour matches over HTTP: what is asked, what is found in the catalogue, and how it is read."""
