"""Where skin comes through cloth: told, so that nobody trusts a sleeve that the arm would show through."""

from __future__ import annotations

from sightline.geometry.mesh import Cover, Mesh

# Less flesh in the cloth than this is rounding of the meshes.
LEAST_M3 = 2e-7


def pierced(cloth: Cover, flesh: list[Cover]) -> str | None:
    """One sentence saying what comes through the cloth and where; None when nothing does, or cloth is an open sheet."""
    if not cloth.mesh.closed:
        return None
    try:
        shell = cloth.mesh.manifold()
    except ValueError:
        return None
    for part in flesh:
        if not part.mesh.closed or not cloth.mesh.meets(part.mesh):
            continue
        through = shell ^ part.mesh.manifold()
        if through.volume() > LEAST_M3:
            x, y, z = Mesh.from_manifold(through).vertices.mean(axis=0)
            side = "left" if x > 0 else "right"
            depth = "ahead of" if y < 0 else "behind"
            return (
                f"The {part.name} comes through the {cloth.name} {abs(x) * 100:.0f} cm to the performer's {side}, "
                f"{abs(y) * 100:.0f} cm {depth} the mark, {z * 100:.0f} cm up: more ease there, or trust it less."
            )
    return None
