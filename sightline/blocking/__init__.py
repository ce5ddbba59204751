"""Blocking: what happens over time, what to change, and how exactly the mark must be hit: computes."""
