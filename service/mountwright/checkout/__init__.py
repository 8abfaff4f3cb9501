"""A basket as one set-up: what of it may be sent, what has to be asked first, and what will not go on."""
