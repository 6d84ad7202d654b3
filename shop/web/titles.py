"""The question that a build's page answers, said as a sentence, and the next thing to do."""

from __future__ import annotations

from dataclasses import dataclass

from records.queries.build_page import BuildPage
from shop.web.bench_order import Group, groups, next_target
from shop.web.words import count, things


@dataclass(frozen=True, slots=True)
class Next:
    """The next thing to do: a verb that leads there, and why."""

    words: str
    page: str
    why: str = ""
    query: str = ""


# what blocks -> the page on which it is put right, and what one does there
WAY: dict[str, tuple[str, str, str]] = {
    "place_empty": ("build-parts", "?do=book#take-in", "Book the missing parts in"),
    "intake_not_asked": ("build-parts", "?do=intake#take-in", "Say how the parts came in"),
    "detail_missing": ("build-parts", "?do=detail#take-in", "Say what is still missing"),
    "damper_missing": ("build-parts", "?do=book#take-in", "Book the damper in"),
    "rating_missing": ("build-parts", "?do=rate#take-in", "Note the damper's rating"),
    "part_scrapped": ("build-parts", "?do=take_out#take-in", "Take the scrapped part out"),
    "evidence_missing": ("weigh", "", "Weigh what is missing"),
    "evidence_does_not_count": ("weigh", "", "Weigh again what doesn't count"),
    "too_few_readings": ("weigh", "", "Read it more often"),
    "sets_weighed_apart": ("weigh", "", "Weigh each set together"),
    "weighed_before_cut": ("weigh", "", "Weigh again after the cut"),
    "no_acceptance_zone": ("weigh", "", "Read or hang it more often"),
    "match_failed": ("cut", "", "Take the next cut"),
    "removal_open": ("cut", "", "Close the open cut"),
    "metal_gone": ("findings", "", "Explain the metal that is gone"),
    "card_missing": ("card", "", "Issue the bob-weight card"),
    "card_stale": ("card", "", "Issue the bob-weight card anew"),
    "not_answered": ("checklist", "#open", "Answer the checklist"),
}


def way_of(code: str, *, to_decide: bool) -> tuple[str, str]:
    """Return the page where something that blocks is put right, and what of it to open."""
    if code in WAY:
        return WAY[code][:2]
    return ("findings" if to_decide else "build"), ""


def title_of(page: BuildPage) -> str:
    """Say in a sentence where a build stands."""
    number = page.row.number
    if page.row.certificate and page.row.state == "stands":
        return f"Build {number} is released, and its certificate stands"
    if page.row.state in ("in doubt", "withdrawn"):
        return f"The certificate of build {number} is {page.row.state}"
    waiting = _weighing_title(groups(page))
    if waiting:
        return waiting
    if page.blocks:
        return f"What blocks the release of build {number}"
    return f"Nothing blocks the release of build {number}"


def next_of(page: BuildPage) -> Next | None:
    """Return the next thing to do, None when the build is done."""
    if page.row.certificate and page.row.state == "stands":
        return None
    if not page.blocks:
        return Next("Release it", "release", "An inspector who did none of the work signs.")
    first = page.blocks[0]
    if first.code == "evidence_missing" and (target := next_target(groups(page))):
        return Next(f"Weigh {_bare(target.words)}", "weigh", first.text, f"?target={target.key}")
    if first.code in WAY:
        where, query, words = WAY[first.code]
        return Next(words, where, first.text, query)
    return Next("Have the finding decided", "findings", first.text)


def weighing_title(page: BuildPage) -> str:
    """Say in a sentence what is left to weigh."""
    every = groups(page)
    if not every:
        return "No part is booked in yet"
    sets = [g for g in every if g.left and g.targets[0].what == "set"]
    rest = "the sets wait to be weighed together" if sets else "and each set together"
    return _weighing_title(every) or f"Every part is weighed, {rest}"


def _weighing_title(every: tuple[Group, ...]) -> str:
    for group in every:
        asked = group.left and group.targets[0].what in ("whole", "big end")
        if asked:
            return f"{_counted(group)}, {_left(group)}"
    return ""


def _counted(group: Group) -> str:
    first, *rest = group.title.lower().split(", ", 1)
    many = things(len(group.targets), first.removesuffix("s"), first)
    if first in ("pin locks", "bearing shells"):
        many = first
    end = f", {rest[0]}s" if rest else ""
    return (many + end).capitalize()


def _left(group: Group) -> str:
    if len(group.left) == len(group.targets):
        return "none weighed yet" if len(group.targets) > 1 else "not weighed yet"
    return f"{count(len(group.left))} still to weigh"


def _bare(words: str) -> str:
    return words.split(" · ", 1)[-1]
