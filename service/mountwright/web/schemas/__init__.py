"""What requests and answers look like, for validation and for the contract."""
