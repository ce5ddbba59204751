"""sightline: who can see the secret of a hidden-limb illusion, from where, and by how much."""

__version__ = "0.1.0"
