"""The numbers under which the demo shop books its people, customers, scales and weights."""

from __future__ import annotations

MARTA, INES, TOMAS, RUTH = "P-01", "P-02", "P-03", "P-04"
BLACK_REACH, ORLA = "K-01", "K-02"
FINE, SHEET, COARSE, WORN = "S-01", "S-02", "S-03", "S-04"
CHECK_WEIGHTS = {"W-500": "500", "W-1000": "1000", "W-2000": "2000"}
