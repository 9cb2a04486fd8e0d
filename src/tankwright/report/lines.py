"""Lines, stocks and planned sets in words and as JSON: how inbred, how related, how long it lasts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tankwright.finding import Finding, Number
from tankwright.husbandry.ancestry import Completeness
from tankwright.husbandry.closed_line import EffectiveSize
from tankwright.husbandry.kinship import Expected
from tankwright.husbandry.lines import Held, LineStanding
from tankwright.husbandry.mating import Planned, Proposal
from tankwright.report.finding import json_finding
from tankwright.report.model import SummaryLine

EXPLAINED = (
    "Inbreeding is what is expected of a fish by its pedigree: the chance that its two genes at one place are copies"
    " of one gene of a founder. Single fish differ; what is not in the book is not counted."
)


def line_lines(one: LineStanding) -> Iterator[SummaryLine]:
    """How a line stands, a line a subject; what is not known is said to be so."""
    yield _living(one)
    if one.fish:
        yield from _inbred(one)
    yield from _breeders(one)
    if one.generation_days is not None:
        yield SummaryLine(
            "{time} from one generation to the next, by the days of birth there are",
            (("time", Number(one.generation_days * 86_400.0, "duration")),),
        )
    if one.regenerate_by is not None:
        yield SummaryLine(f"a new generation wanted by {one.regenerate_by}; the youngest are of {one.newest}")


def _living(one: LineStanding) -> SummaryLine:
    if not one.fish:
        return SummaryLine("no living fish in the book")
    low, high = sum(held.low for held in one.held), sum(held.high for held in one.held)
    bounds = "" if low == high else "; at least {low}, at most {high}, for some were guessed"
    return SummaryLine(
        f"{{fish}} fish in {{stocks}} {'stock' if len(one.held) == 1 else 'stocks'}{bounds}",
        (
            ("fish", _count(one.fish)),
            ("stocks", _count(len(one.held))),
            ("low", _count(low)),
            ("high", _count(high)),
        ),
    )


def _inbred(one: LineStanding) -> Iterator[SummaryLine]:
    if one.too_many:
        yield SummaryLine(
            "inbreeding not computed: more living stocks than kinship is worked out for at once"
        )
        return
    if one.inbreeding is None:
        yield SummaryLine("inbreeding not computed: see what is said of the pedigree")
        return
    doubt = one.related is not None and one.related - one.inbreeding > 1e-9
    yield SummaryLine(
        "mean inbreeding {f} if founders are unrelated, {g} if those nobody knows of are half brothers and sisters"
        if doubt
        else "mean inbreeding {f}",
        (("f", _share(one.inbreeding)), ("g", _share(one.related or 0.0))),
    )
    if one.not_computed:
        yield SummaryLine(
            "{many} of its stocks left out: they stand in a loop", (("many", _count(len(one.not_computed))),)
        )
    if one.diversity is not None:
        yield SummaryLine(
            "{kept} of the founders' diversity is left, as much as {n} unrelated founders hold",
            (("kept", _share(one.diversity.kept)), ("n", Number(one.diversity.equivalents, "number"))),
        )
    if one.ancestors is not None:
        yield SummaryLine(
            "{n} generations of ancestors known, in the mean", (("n", Number(one.ancestors, "number")),)
        )


def _breeders(one: LineStanding) -> Iterator[SummaryLine]:
    if not one.sets:
        yield SummaryLine("no breeding set of it is in the book, so generations left are not computed")
        return
    now = "breed now" if one.running else "bred last"
    yield SummaryLine(
        f"{{m}} male and {{f}} female {now} in {{n}} {'set' if len(one.sets) == 1 else 'sets'}",
        (("m", _count(one.males)), ("f", _count(one.females)), ("n", _count(len(one.sets)))),
    )
    if one.effective is None:
        yield SummaryLine("of one sex nobody is known, so generations left are not computed")
        return
    yield effective_line(one.effective)
    if one.left is not None:
        yield SummaryLine(
            f"{one.left} further {'generation' if one.left == 1 else 'generations'} before inbreeding passes {{limit}}",
            (("limit", _share(one.limit)),),
        )
    elif one.lasting:
        yield SummaryLine(
            "inbreeding does not pass {limit} within 500 generations", (("limit", _share(one.limit)),)
        )


def effective_line(one: EffectiveSize) -> SummaryLine:
    """The effective size by the recursion, with the formula of the textbooks beside it.

    >>> from tankwright.husbandry.closed_line import effective_size
    >>> effective_line(effective_size(1, 1)).numbers[0][1].value > 2.6
    True
    """
    return SummaryLine(
        "effective size {n}: {loss} lost a generation in the long run, by the recursion; the usual formula says {m} and"
        " {other}",
        (
            ("n", Number(one.size, "number")),
            ("loss", _share(one.loss)),
            ("m", Number(one.formula_size, "number")),
            ("other", _share(one.formula_loss)),
        ),
    )


def expected_line(what: str, one: Expected | None) -> SummaryLine:
    """A kinship or an inbreeding in words, with its bounds where it has any.

    >>> expected_line("inbreeding", None).text
    'inbreeding not computed: its pedigree has a loop'
    """
    if one is None:
        return SummaryLine(f"{what} not computed: its pedigree has a loop")
    bounds = "" if one.certain else "; from {low} to {high} over what is not known of parents"
    return SummaryLine(
        f"{what} {{value}}{bounds}",
        (("value", _share(one.value)), ("low", _share(one.low)), ("high", _share(one.high))),
    )


def planned_lines(one: Planned | None) -> Iterator[SummaryLine]:
    """What would come of a set that is only thought of."""
    if one is None:
        yield SummaryLine("not computed: one of them stands in a loop of its pedigree")
        return
    yield expected_line("inbreeding of the young", one.young)
    if one.related.value - one.young.value > 1e-9:
        yield SummaryLine(
            "{value} if founders nobody knows of are related to each other by {k}",
            (("value", _share(one.related.value)), ("k", _share(one.unknown))),
        )
    yield expected_line("kinship of two of the young", one.within)
    if one.left is not None:
        yield SummaryLine(
            f"{one.left} further {'generation' if one.left == 1 else 'generations'} from them alone, by as many fish,"
            " before the limit"
        )


def known_ancestors_line(one: Completeness | None) -> SummaryLine:
    """How much of an ancestry is known.

    >>> known_ancestors_line(Completeness(generations=(), equivalent=0.0)).text
    'a founder: nothing is known of its parents'
    """
    if one is None:
        return SummaryLine("ancestors not told: its pedigree has a loop")
    if not one.generations:
        return SummaryLine("a founder: nothing is known of its parents")
    parts = [f"{{g{n}}} {n} back" for n in range(1, min(one.back, 4) + 1)]
    return SummaryLine(
        f"known of its ancestors, by generation: {', '.join(parts)}; {{n}} whole generations in all",
        (
            *((f"g{n}", _share(share)) for n, share in enumerate(one.generations[:4], 1)),
            ("n", Number(one.equivalent, "number")),
        ),
    )


def json_line(
    one: LineStanding, findings: tuple[Finding, ...], names: Mapping[str, str]
) -> dict[str, object]:
    """A line as JSON; null is what is not known. Kinships and inbreeding are shares, 0 to 1."""
    hold, size = one.diversity, one.effective
    return {
        "name": one.line.name,
        "species": one.line.species,
        "source": one.line.source,
        "locality": one.line.locality,
        "fish": one.fish,
        "stocks": [_json_held(held, names) for held in one.held],
        "mean_inbreeding": one.inbreeding,
        "mean_inbreeding_if_founders_are_related": one.related,
        "founder_kinship_taken": one.unknown,
        "mean_kinship": hold.mean if hold else None,
        "gene_diversity": hold.kept if hold else None,
        "founder_equivalents": hold.equivalents if hold else None,
        "generations_of_ancestors_known": one.ancestors,
        "breeding_now": one.running,
        "males": one.males,
        "females": one.females,
        "effective_size": size.size if size else None,
        "loss_a_generation": size.loss if size else None,
        "effective_size_by_formula": size.formula_size if size else None,
        "loss_a_generation_by_formula": size.formula_loss if size else None,
        "generations_left": one.left,
        "limit_of_inbreeding": one.limit,
        "regenerate_by": one.regenerate_by.isoformat() if one.regenerate_by else None,
        "not_computed": [names.get(key, key) for key in one.not_computed],
        "findings": [json_finding(finding) for finding in findings],
    }


def json_mates(one: Proposal, names: Mapping[str, str]) -> list[dict[str, object]]:
    """Proposed mates as JSON."""
    return [
        {
            "male": names.get(mate.male, mate.male),
            "female": names.get(mate.female, mate.female),
            "kinship": mate.kinship,
        }
        for mate in one.mates
    ]


def _json_held(one: Held, names: Mapping[str, str]) -> dict[str, object]:
    return {
        "stock": names.get(one.stock, one.stock),
        "fish": one.fish,
        "at_least": one.low,
        "at_most": one.high,
    }


def _share(value: float) -> Number:
    return Number(value, "share")


def _count(value: int) -> Number:
    return Number(float(value), "number")
