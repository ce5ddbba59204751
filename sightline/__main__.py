"""`python -m sightline` is the same as `sightline`."""

from sightline.cli.main import main

main()
