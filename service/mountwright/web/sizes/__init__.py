"""What is asked about a pair of feet, with what it names of the catalogue."""
