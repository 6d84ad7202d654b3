"""The scales that tests of this room weigh on."""

from __future__ import annotations

from records.domain.measure.scale import (
    CertificatePoint,
    Eccentricity,
    Repeatability,
    Scale,
)
from tests import outside


def plain_scale(d_g: float = 0.1, s_g: float = 0.05, nu_s: float | None = None) -> Scale:
    """A scale without certificate, as in the formula rows of the EURAMET cg-18 form."""
    return Scale(d_g=d_g, d0_g=d_g, s_g=s_g, nu_s=nu_s)


def scale_5142() -> Scale:
    """The 2 kg x 0.01 g balance of certificate 5142 (published data set of CRAN masscor)."""
    data = outside.data("balance_certificate_2kg_0.01g.json")
    rows = zip(data["load_g"], data["error_g"], data["U_k2_g"], strict=True)
    return Scale(
        d_g=data["d_g"],
        d0_g=data["d_g"],
        s_g=tuple(Repeatability(load_g, s_g) for load_g, s_g in data["repeatability"]),
        eccentricity=Eccentricity(**data["eccentricity"]),
        certificate=tuple(CertificatePoint(load, error, U) for load, error, U in rows),
    )


def shop_scale(nu_s: float | None = None, drift_g: float = 0.0) -> Scale:
    """The nearest invented one to the bench: u(E) 0.010 g at all loads, 0.01 g steps."""
    return Scale(
        d_g=0.01,
        d0_g=0.01,
        s_g=0.005,
        nu_s=nu_s,
        drift_g=drift_g,
        eccentricity=Eccentricity(1000, 0.02),
        certificate=(CertificatePoint(0.5, 0.0, 0.02), CertificatePoint(2000, 0.0, 0.02)),
    )
