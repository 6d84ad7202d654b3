"""How a mass and its U are written: rounded once, at the edge, by the rule of measure."""

from __future__ import annotations

from records.domain.measure.rounding import shown

__all__ = ["shown"]
