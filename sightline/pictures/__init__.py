"""Pictures: the plan with its heat map, and what an eye sees."""
