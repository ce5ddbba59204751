"""`python -m sightline` is the same as `sightline`."""

from sightline.cli import stopping


def main() -> None:
    """Run the program; Ctrl-C while it is still being loaded ends it as any later one does."""
    stopping.listen()
    try:
        from sightline.cli.main import main as run

        run()
    except BaseException as error:
        if stopping.by_control_c(error):
            stopping.stop()
        raise


if __name__ == "__main__":
    main()
