"""Numbers with doubt: quantities, instruments, uncertainty and conformity."""
