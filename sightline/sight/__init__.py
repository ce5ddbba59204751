"""Which eye sees what: rays, patches, leaks, what an eye can notice, and the verdicts."""
