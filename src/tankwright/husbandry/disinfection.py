"""What is known of disinfecting and drying nets, hands and eggs: facts with their sources, for a keeper to weigh.

Chemicals here can hurt people and fish. What the label says and what is allowed where one lives comes first; a vet
decides on fish. None of it makes a tool safe: it makes it less likely to carry something.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

WET_HOURS: Final = 24.0
"""How long a net counts as wet, and so as infective, when nobody says otherwise. Common practice, no source."""

DRY_DAYS: Final = 5.0
"""A washed tool dried for so long counts as dry. Source: US aquatic nuisance species decontamination sheets: five days
after washing, or three in the sun."""

STEP_MINUTES: Final = 10.0
"""How long hands and tools take between a dirty tank and a clean one: washed, then disinfected, then waited for. Common
practice, no source; what the label of the disinfectant says comes first."""

CAUTION: Final = (
    "The label and the rules where you live come first; wear gloves and goggles, open a window, never mix two "
    "products, and ask a vet about anything that touches fish."
)

About = Literal["tools", "nets", "eggs", "drying", "all"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that was found out, and by whom. `abstract_only` where only a summary of the work was read."""

    about: About
    text: str
    source: str
    abstract_only: bool = True


FACTS: Final[tuple[Fact, ...]] = (
    Fact(
        about="tools",
        text="Against one fish mycobacterium, ethanol of 50 or 70 %, a phenolic at 1 % and sodium chlorite mixes "
        "worked within 1 minute. Hypochlorite needed 50,000 mg/L for 10 minutes. Two quaternary ammonium products and "
        "1 % peroxymonosulfate did next to nothing in 60 minutes.",
        source="Mainous and Smith (2005), Journal of Aquatic Animal Health",
    ),
    Fact(
        about="eggs",
        text="On eggs, iodine on povidone at 25 ppm for 5 minutes worked very well on mycobacteria, unbuffered "
        "chlorine less, hydrogen peroxide least.",
        source="PMC4819436",
    ),
    Fact(
        about="nets",
        text="Of the net baths at 25 fisheries 64 % were heavily contaminated, and 76 % failed to make virus fewer in "
        "2 or 5 minutes. Freshly made solution worked: write the day it was mixed, and how often it was used.",
        source="Effectiveness of fishery net dips (2018)",
    ),
    Fact(
        about="drying",
        text="Water of 45 °C for 15 minutes left 99 % of seven invasive species dead within an hour. Drying did better "
        "than nothing only from day 4 on; six of the seven outlived 16 days where it stayed damp.",
        source="Anderson and others (2015), Biological Invasions, 10.1007/s10530-015-0875-6",
        abstract_only=False,
    ),
    Fact(
        about="drying",
        text="One water plant outlived 45 °C more often than not (40 % dead); 60 °C for 1 minute killed all of it.",
        source="Shannon and others (2018)",
        abstract_only=False,
    ),
    Fact(
        about="drying",
        text="Dry for 5 days after washing, or for 3 days in the sun.",
        source="US aquatic nuisance species decontamination sheets",
        abstract_only=False,
    ),
    Fact(
        about="all",
        text="Clean first, then disinfect: dirt uses the disinfectant up. What soaks water up needs longer. Write on "
        "the bath when it is to be thrown away.",
        source="OIE Manual of Diagnostic Tests for Aquatic Animals, chapter 1.1.3",
        abstract_only=False,
    ),
)
"""All facts, as a page lists them."""


def facts_about(*subjects: About) -> tuple[Fact, ...]:
    """The facts on these subjects and on all; every fact when none is named.

    >>> [one.source for one in facts_about("eggs")]
    ['PMC4819436', 'OIE Manual of Diagnostic Tests for Aquatic Animals, chapter 1.1.3']
    """
    wanted = {*subjects, "all"} if subjects else {one.about for one in FACTS}
    return tuple(one for one in FACTS if one.about in wanted)
