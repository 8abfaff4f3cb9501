"""Files that shops send: taken in, brought into the catalogue in a process of their own, reported on."""
