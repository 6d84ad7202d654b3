"""Read a scale out of the object that came for a sum."""

from __future__ import annotations

from collections.abc import Iterable

from records.domain.errors import BadValue
from records.domain.measure.scale import CertificatePoint, Eccentricity, Repeatability, Scale
from records.domain.measure.weighing import Contribution
from records.domain.reckon.numbers import Limits, read_number, refuse
from records.domain.reckon.shape import Shape

NOT_NEGATIVE = Limits(minimum=0)


def read_scale(read: Shape) -> Scale:
    """Return the scale of an object with d_g, d0_g?, s_g, nu_s?, drift_g?, eccentricity?, …"""
    d_g = read.number("d_g", above=0)
    eccentricity = read.optional_child("eccentricity")
    certificate = read.objects("certificate") if read.has("certificate") else []
    try:
        return Scale(
            d_g=d_g,
            d0_g=read.number_or("d0_g", d_g, minimum=0),
            s_g=_read_repeatability(read),
            nu_s=read.optional_number("nu_s", minimum=1),
            drift_g=read.number_or("drift_g", 0.0, minimum=0),
            eccentricity=None if eccentricity is None else _read_eccentricity(eccentricity),
            certificate=tuple(_read_point(point) for point in certificate),
        )
    except BadValue as error:
        if not read.path or error.field.startswith(f"{read.path}/"):
            raise
        # The scale names its own columns; here they have a path.
        raise BadValue(
            error.code,
            error.message,
            field=f"{read.path}/{error.field}",
            expected=error.expected,
            got=error.got,
        ) from error


def budget_rows(budget: Iterable[Contribution]) -> list[dict[str, object]]:
    """Return the lines of a budget as they are answered."""
    return [{"source": line.source, "u_g": line.u_g} for line in budget]


def _read_eccentricity(read: Shape) -> Eccentricity:
    return Eccentricity(read.number("load_g", above=0), read.number("max_diff_g", minimum=0))


def _read_point(read: Shape) -> CertificatePoint:
    return CertificatePoint(
        load_g=read.number("load_g", minimum=0),
        error_g=read.number("error_g"),
        U_g=read.number("U_g", above=0),
        k=read.number("k", above=0),
    )


def _read_repeatability(read: Shape) -> float | tuple[Repeatability, ...]:
    if not isinstance(read.raw("s_g", "a number or [[load_g, s_g], …]"), list | tuple):
        return read.number("s_g", minimum=0)
    rows = read.items("s_g", at_least=1, of="pairs [load_g, s_g]")
    return tuple(_read_pair(row, f"{read.at('s_g')}/{i}") for i, row in enumerate(rows))


def _read_pair(row: object, path: str) -> Repeatability:
    if not isinstance(row, list | tuple) or len(row) != 2:
        refuse(path, "a pair [load_g, s_g]", row)
    load_g, s_g = row
    return Repeatability(
        read_number(load_g, f"{path}/0", NOT_NEGATIVE), read_number(s_g, f"{path}/1", NOT_NEGATIVE)
    )
