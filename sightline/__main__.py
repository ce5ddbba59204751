"""`python -m sightline` is the same as `sightline`."""

import sys


def main() -> None:
    """Run the program; Ctrl-C while it is still being loaded ends it as any later one does."""
    try:
        from sightline.cli.main import main as run
    except KeyboardInterrupt:
        sys.stderr.write("\nsightline: stopped.\n")
        sys.exit(130)
    run()


if __name__ == "__main__":
    main()
