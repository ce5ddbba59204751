"""Mutation testing of what every verdict rests on: `python -m tests.mutation` (see docs/mutation.md)."""
