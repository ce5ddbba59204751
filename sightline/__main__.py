"""`python -m sightline` is the same as `sightline`."""

import sys


def main() -> None:
    """Run the program; Ctrl-C while it is still being loaded ends it as any later one does."""
    try:
        try:
            from sightline.cli.main import main as run
        except KeyboardInterrupt:
            sys.stderr.write("\nsightline: stopped.\n")
            sys.exit(130)
        run()
    finally:
        # Python remembers a Ctrl-C that fell into code made of a text, as data classes make it, and would end by the signal in
        # place of the exit code, though it was caught. The next such code makes it forget.
        exec("")


if __name__ == "__main__":
    main()
