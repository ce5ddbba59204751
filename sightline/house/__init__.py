"""Venues: seats, crowds and single eyes, and the scenery that stands between them and the performer."""
