"""The parts of the sample build, and the metal that came off them."""

from __future__ import annotations

from decimal import Decimal

from records.domain.practice.certificate import PartMass, RemovalFacts

ORDER = (0, 7, 1, 6, 3, 5, 2, 4)  # an even scatter without a random number


def scatter_of(index: int) -> int:
    return ORDER[index % len(ORDER)]


def parts(cylinders: int) -> list[PartMass]:
    parts = [part for place in range(1, cylinders + 1) for part in _parts_at(place)]
    every = [
        _weighed(None, "pin locks", "L-101", "LA01", "2.35", "2.35", "one pair, all alike"),
        _weighed(None, "bearing shells", "B-101", "BA01", "44.65", "44.65", "pair for one rod"),
    ]
    return parts + every


def _parts_at(place: int) -> list[PartMass]:
    scatter = scatter_of(place - 1)
    at, rise = f"{place:02}", Decimal(scatter)
    piston = Decimal("445.83") + rise * Decimal("0.61")
    big, whole = Decimal("428.04") + rise * Decimal("0.85"), Decimal("603.71") + rise
    mark = f"crown, {place} dots"
    return [
        _weighed(place, "piston", f"K-1{at}", f"PA{at}", str(piston), "445.86", mark),
        _weighed(place, "pin", f"N-1{at}", f"NA{at}", "116.27", "116.27", "not marked, bagged"),
        _weighed(place, "ring set", f"G-1{at}", f"GA{at}", "37.45", "37.45", "bagged"),
        _rod(place, "big end", "hung", str(big), "428.11"),
        _rod(place, "whole", "on the pan", str(whole), "603.83"),
    ]


def _weighed(
    place: int | None, kind: str, number: str, serial: str, before: str, after: str, mark: str
) -> PartMass:
    removed = Decimal(before) - Decimal(after)
    return {
        "place": place,
        "kind": kind,
        "what": "whole",
        "how": "on the pan",
        "shop_number": number,
        "serial": serial,
        "marking": mark,
        "before_g": before,
        "after_g": after,
        "U_g": "0.1288",
        "removed_g": str(removed) if removed > 0 else None,
    }


def _rod(place: int, what: str, how: str, before: str, after: str) -> PartMass:
    number, serial = f"R-1{place:02}", f"RA{place:02}"
    rod = _weighed(place, "rod", number, serial, before, after, "etched on the cap side")
    rod["how"] = how
    if what == "big end":
        rod["what"], rod["removed_g"] = "big end", None
    return rod


def removals(cylinders: int) -> list[RemovalFacts]:
    cuts = []
    for place in range(1, cylinders + 1):
        if scatter := scatter_of(place - 1):
            mass = str(Decimal(scatter) * Decimal("0.61"))
            at = f"{place:02}"
            cuts.append(_cut(f"K-1{at}", "piston", "inside skirt edge", mass, "die grinder"))
            cuts.append(_cut(f"R-1{at}", "rod", "sides beside the bolts", mass, "belt linisher"))
    return cuts


def _cut(number: str, kind: str, zone: str, mass: str, method: str) -> RemovalFacts:
    return {
        "shop_number": number,
        "kind": kind,
        "zones": [{"zone": zone, "rule": "allowed"}],
        "spread": "all round" if kind == "piston" else "both sides",
        "method": method,
        "mass_g": mass,
        "U_g": "0.1466",
        "by": "P-02",
        "day": "2026-03-04",
        "heat": "never too hot to hold" if kind == "piston" else "no colour",
        "late": False,
    }
