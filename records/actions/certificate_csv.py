"""A certificate's CSV turned into what `record_calibration` takes."""

from __future__ import annotations

from dataclasses import dataclass

from records.actions.scales import PointGiven, Repeatability
from records.domain.sheet.certificate_table import CertificateLine, read_certificate


@dataclass(frozen=True, slots=True)
class CertificateGiven:
    """Points and scatter of a certificate, as they may be recorded."""

    as_left: list[PointGiven]
    as_found: list[PointGiven]
    repeatability: list[Repeatability]


def certificate_of_csv(*, data: bytes) -> CertificateGiven:
    """Return what a certificate's CSV holds, nothing recorded yet.

    Errors: Unreadable; BadValue at `csv/<row>/<column>`.
    """
    table = read_certificate(data)
    return CertificateGiven(
        as_left=[_point(line) for line in table.as_left],
        as_found=[_point(line) for line in table.as_found],
        repeatability=[Repeatability(load_g, s_g) for load_g, s_g in table.scatter],
    )


def _point(line: CertificateLine) -> PointGiven:
    return PointGiven(line.load_g, line.error_g, line.U_g, line.k)
