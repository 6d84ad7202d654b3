"""Topic `split`: an unbalance shared over allowed angles with the least metal."""

from __future__ import annotations

from collections.abc import Mapping

from records.domain.balance.split import Spot, split_unbalance
from records.domain.reckon.numbers import refuse
from records.domain.reckon.shape import Shape
from records.domain.reckon.vectors import read_vector, vector_row

# Every pair of places is tried; a crank has a few dozen at most.
MOST_PLACES = 72


def reckon(data: Mapping[str, object]) -> dict[str, object]:
    """Return parts in the order of the places, left_gmm (rounding) and total_gmm.

    A split that isn't possible, by the angles or the capacities, is an error that says why.
    """
    read = Shape(data)
    wanted = read_vector(read)
    places = read.objects("places")
    if len(places) > MOST_PLACES:
        refuse("places", f"a list of at most {MOST_PLACES} places", read.raw("places", "places"))
    spots = [_read_spot(place) for place in places]
    read.done()
    split = split_unbalance(wanted, spots)
    return {
        "parts": [vector_row(part) for part in split.parts],
        "left_gmm": split.left_gmm,
        "total_gmm": split.total_gmm,
    }


def _read_spot(read: Shape) -> Spot:
    return Spot(read.number("angle_deg"), read.optional_number("capacity_gmm", minimum=0))
