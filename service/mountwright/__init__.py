"""Mountwright: does a part go on a skate, what does it take, and how sure is that."""
