"""Topic `bob-weight`: the bob weight of one pin whose rods are alike."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from records.domain.balance.bob_weight import ITEMS, PinItems, alike_bob_weight
from records.domain.reckon.shape import Shape


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return rotating_g, reciprocating_g (its counted share), bob_weight_g, and u_g when given u.

    Oil is an allowance and has no part in u_g.
    """
    read = Shape(data)
    rods = read.whole("rods_per_pin", minimum=1, maximum=8)
    masses = {name: _mass(read, f"{name}_g") for name in ITEMS}
    oil_g = _mass(read, "oil_g")
    read.number("fraction", minimum=0, maximum=1)
    u_private_g = read.optional_number("u_private_g", minimum=0)
    u_shared_g = read.optional_number("u_shared_g", minimum=0)
    once = read.texts("weighed_once", one_of=ITEMS) if read.has("weighed_once") else []
    read.done()
    bob = alike_bob_weight(
        PinItems(**masses),
        rods_per_pin=rods,
        oil_g=oil_g,
        fraction=read.decimal("fraction"),
        u_private_g=u_private_g,
        u_shared_g=u_shared_g,
        weighed_once=once,
    )
    answer: dict[str, object] = {
        "rotating_g": float(bob.rotating_g),
        "reciprocating_g": float(bob.reciprocating_g),
        "bob_weight_g": float(bob.total_g),
    }
    if bob.u_g is not None:
        answer["u_g"] = bob.u_g
    return answer


def _mass(read: Shape, key: str) -> Decimal:
    read.number(key, minimum=0)
    return read.decimal(key)
