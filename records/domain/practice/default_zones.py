"""Where metal may come off, as a new shop starts with it, kind by kind.

Common practice, no source; the shop edits them per part spec, and the maker's data comes first.
"All else: no number", so the plan takes nothing there and says that a limit is missing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from records.domain.practice.kinds import kind_named

METHODS = (
    "belt linisher",
    "die grinder",
    "drill",
    "file",
    "hone",
    "internal grinder",
    "lathe",
    "mill",
    "polishing",
)

# Where the pads of a rod stand, past the centre they belong to: a usual rod's, to be measured.
CAP_PAD_PAST_BIG_END_MM = Decimal(38)
PAD_PAST_SMALL_END_MM = Decimal(18)


@dataclass(frozen=True, slots=True)
class DefaultZone:
    """One zone: rule (allowed, limited, forbidden), methods, grams over a part's whole life.

    `limit_g` and `step_g` None: no number is known. `spread` is what is asked: any, all round or
    both sides. `x_mm` counts from the small-end centre towards the big end (rods).
    """

    key: str
    name: str
    rule: str
    why: str
    methods: tuple[str, ...] = ()
    limit_g: Decimal | None = None
    step_g: Decimal | None = None
    spread: str = "any"
    x_mm: Decimal | None = None
    maker_leave: bool = False


def default_zones(kind: str, rod_length_mm: Decimal | None = None) -> tuple[DefaultZone, ...]:
    """Return a kind's zones; a rod's stand at their places once its length is known.

    Errors: BadValue for a kind that isn't one.
    """
    key = kind_named(kind).key
    zones = _ZONES[key]
    if key != "rod" or rod_length_mm is None:
        return zones
    places = {
        "rod-sides": rod_length_mm,
        "cap-pad": rod_length_mm + CAP_PAD_PAST_BIG_END_MM,
        "small-end-eye": Decimal(0),
        "small-end-pad": -PAD_PAST_SMALL_END_MM,
    }
    return tuple(replace(zone, x_mm=places.get(zone.key)) for zone in zones)


def _forbidden(key: str, name: str, why: str) -> DefaultZone:
    return DefaultZone(key, name, "forbidden", why)


def _forbidden_whole(why: str) -> tuple[DefaultZone, ...]:
    return (_forbidden("anywhere", "anywhere on it", why),)


_OUTER_AREA = "away from the friction face, where it carries little"
_FORBIDDEN_ON_A_WHEEL = (
    _forbidden("friction-face", "friction face", "the clutch runs on it"),
    _forbidden("ring-gear-seat", "ring gear seat", "the ring gear holds by its fit"),
    _forbidden("bolt-circle", "bolt circle", "the bolts pull there; cracks start there"),
)

_PISTON = (
    DefaultZone(
        "skirt-inside-edge",
        "inside edge of the skirt",
        "allowed",
        "chamfered evenly all round, both sides together, in small steps",
        ("die grinder",),
        Decimal("4.0"),
        Decimal("0.5"),
        "all round",
    ),
    DefaultZone(
        "pin-boss",
        "under and beside the pin bosses",
        "limited",
        "never so that the boss weakens",
        ("die grinder",),
        Decimal("1.0"),
        Decimal("0.2"),
    ),
    _forbidden("crown", "crown", "it burns through or collapses"),
    _forbidden("ring-lands", "ring lands", "the rings lose their seat"),
    _forbidden("skirt-outside", "outer skirt face", "it is a bearing surface"),
    _forbidden("pin-bore", "pin bore", "the pin loses its fit"),
    _forbidden("lock-grooves", "lock grooves", "the lock loses its hold"),
)

_PIN = (
    DefaultZone(
        "bore-taper",
        "inner bore taper",
        "limited",
        "only where the maker allows it; choose a partner of another mass instead",
        ("internal grinder",),
        Decimal("1.0"),
        Decimal("0.2"),
        maker_leave=True,
    ),
    _forbidden("outer-surface", "outer surface", "it is hardened and ground"),
)

_ROD = (
    DefaultZone(
        "rod-sides",
        "sides of the rod beside the bolts",
        "allowed",
        "chamfered on both sides alike",
        ("belt linisher",),
        Decimal("6.0"),
        Decimal("2.0"),
        "both sides",
    ),
    DefaultZone(
        "cap-pad",
        "balance pad at the cap",
        "limited",
        "only where a pad is made for it; past the big-end centre, so the small end gets heavier",
        ("belt linisher",),
        Decimal("6.0"),
        Decimal("2.0"),
    ),
    DefaultZone(
        "small-end-eye",
        "outside of the small-end eye",
        "allowed",
        "evenly all round and never thinned in one place; keep it moving, keep it cool",
        ("belt linisher",),
        Decimal("3.0"),
        Decimal("0.5"),
        "all round",
    ),
    DefaultZone(
        "small-end-pad",
        "pad at the top of the small end",
        "limited",
        "only where a pad is made for it; past the small-end centre, so the big end gets heavier",
        ("belt linisher",),
        Decimal("4.0"),
        Decimal("1.0"),
    ),
    _forbidden("cap-ridges", "stiffening ridges across the cap", "the cap flexes"),
    _forbidden("bolt-seats", "bolt seats and threads", "the bolts lose their hold"),
    _forbidden("parting-faces", "parting faces", "the cap no longer closes true"),
    _forbidden("big-end-bore", "big-end bore", "the shells lose their crush"),
    _forbidden("beam", "beam", "it carries the load; a mark there starts a crack"),
    _forbidden("small-end-bore", "small-end bore or bush", "the pin loses its fit"),
)

_CRANKSHAFT = (
    DefaultZone(
        "counterweight-rim", "counterweight rim", "allowed", "drilled radially", ("drill",)
    ),
    DefaultZone(
        "counterweight-faces",
        "counterweight faces",
        "allowed",
        "drilled along the axis for slugs",
        ("drill",),
    ),
    DefaultZone("cheeks", "cheeks", "limited", "they carry the pin", ("drill",)),
    DefaultZone("thin-webs", "thin webs", "limited", "little is left to take", ("drill",)),
    _forbidden("journals", "journals", "they are bearing surfaces"),
    _forbidden("fillets", "fillets", "the crank breaks there first"),
    _forbidden("oil-ways", "oil ways", "the bearings lose their oil"),
    _forbidden("another-hole", "breaking into another hole", "a slug there loses its hold"),
)

_DAMPER = (
    DefaultZone(
        "inertia-ring",
        "inertia ring",
        "limited",
        "only where its maker allows; a rated damper may lose its rating when cut",
        ("drill",),
        maker_leave=True,
    ),
    DefaultZone(
        "hub",
        "hub",
        "limited",
        "solid elastomer kind only, and only where its maker allows",
        ("drill",),
        maker_leave=True,
    ),
    _forbidden("fluid-housing", "sealed fluid housing", "a leak ends its damping"),
    _forbidden("bond-line", "bond line", "the ring comes loose"),
    _forbidden("belt-grooves", "belt grooves", "the belt runs on them"),
)

_ZONES: dict[str, tuple[DefaultZone, ...]] = {
    "piston": _PISTON,
    "pin": _PIN,
    "pin locks": _forbidden_whole("nothing comes off a lock: take another"),
    "ring set": _forbidden_whole("nothing comes off a ring for balance: take another set"),
    "rod": _ROD,
    "bearing shells": _forbidden_whole("nothing comes off a shell: take another pair"),
    "crankshaft": _CRANKSHAFT,
    "damper": _DAMPER,
    "pulley": (
        DefaultZone(
            "rim-back",
            "back of the rim",
            "limited",
            "only where its maker allows",
            ("drill",),
            maker_leave=True,
        ),
        _forbidden("belt-grooves", "belt grooves", "the belt runs on them"),
    ),
    "flywheel": (
        DefaultZone("outer-area", "outer area", "allowed", _OUTER_AREA, ("drill",)),
        *_FORBIDDEN_ON_A_WHEEL,
    ),
    "flexplate": (
        DefaultZone("outer-area", "outer area", "limited", "it is thin and flexes", ("drill",)),
        *_FORBIDDEN_ON_A_WHEEL[1:],
    ),
    "clutch cover": (
        DefaultZone("outer-area", "outer area", "allowed", _OUTER_AREA, ("drill",)),
        _FORBIDDEN_ON_A_WHEEL[0],
        _FORBIDDEN_ON_A_WHEEL[2],
        _forbidden("springs-and-straps", "springs and straps", "the clutch holds by them"),
    ),
}
