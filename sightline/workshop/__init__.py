"""The workshop: fit, load, openings, dressing and what to cut: computes."""
