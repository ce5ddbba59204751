"""A performer said in options: body and recast ask for one alike."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from sightline.units import Kind

StatureOption = Annotated[str | None, typer.Option("--stature", help="Barefoot height: '172 cm' or '5 ft 8 in'.")]
SexOption = Annotated[Literal["female", "male"] | None, typer.Option("--sex", help="Whose averages are taken.")]
AgeOption = Annotated[float | None, typer.Option("--age", help="Years; under 18 a child's proportions.")]
MassOption = Annotated[str | None, typer.Option("--mass", help="'70 kg' or '154 lb'.")]
ProportionsOption = Annotated[
    Literal["drillis-contini", "ansur"] | None, typer.Option("--proportions", help="Whose lengths are taken.")
]
MeasuredOption = Annotated[
    list[str] | None, typer.Option("--measured", help="NAME=VALUE, as taped: 'biceps=31 cm'; as often as needed.")
]


def quantity(option: str, text: str | None, kind: Kind) -> float | None:
    """What an option says, in SI units; None for nothing or `unknown`. Raises SightlineError naming the option."""
    from sightline.errors import SightlineError
    from sightline.units import QuantityError, Unknown, parse

    if text is None:
        return None
    try:
        value = parse(text, kind).value
    except Unknown:
        return None
    except QuantityError as error:
        raise SightlineError(f"{option}: {error}.") from None
    if value <= 0:
        raise SightlineError(f"{option}: '{text.strip()}' is too small; it must be more than nothing.")
    return value


def taped_measure(text: str) -> tuple[str, float]:
    """One NAME=VALUE. Raises SightlineError."""
    from sightline.errors import SightlineError
    from sightline.workshop.bodysheet import known_measure

    name, equals, value = text.partition("=")
    if not equals:
        raise SightlineError(f"--measured: '{text[:40]}' has no equals sign; write for example 'biceps=31 cm'.")
    key = known_measure(name)
    found = quantity(f"--measured {key}", value, "length")
    if found is None:
        raise SightlineError(f"--measured {key}: unknown is no measure; leave it away and it is estimated.")
    return key, found
