"""The performer's body: published tables, measured sheets, skeleton, arm solver, skin and cloth."""
