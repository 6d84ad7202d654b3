"""A cut on piston K1, as the tests make it again and again."""

from __future__ import annotations

from records.models import RemovalClose
from tests.records.actions.bench import Shop

COOL = "not too hot"
EDGE = ("K1", "skirt-inside-edge", "die grinder", "all round")
HOW = ([EDGE[1]], *EDGE[2:])


def cut(shop: Shop, after_g: str) -> RemovalClose:
    """Cut K1 at the edge of its skirt and close with a weighing of this mass."""
    removal = shop.open_cut(*EDGE)
    shop.weigh("K1", after_g, after_g)
    return shop.close(removal, COOL)
