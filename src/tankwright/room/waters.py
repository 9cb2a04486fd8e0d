"""Waters one has, what each zone wants, and what each tank is meant to hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tankwright.catalogue.species import YOUR_PLAN, Range, Species, all_species, find_species
from tankwright.finding import Severity
from tankwright.origin import Known, derived
from tankwright.plan.models import OwnSpecies, Plan, Stock, TankHeater, Wants, Water
from tankwright.plan.suggest import listed, nearest
from tankwright.room.defaults import Defaults, scaled
from tankwright.room.mistakes import STOCKED_TWICE, UNKNOWN_SPECIES, WATER_OF_NOTHING, Mistakes
from tankwright.room.model import Tank, ZonePlace
from tankwright.room.model_water import HeaterPlace, LifeLaws, StockPlace, TankLife, WantedWater, WaterPlace
from tankwright.room.powers import tanks_named
from tankwright.units import clip

DAY = 86_400.0


def lay_waters(plan: Plan, defaults: Defaults, mistakes: Mistakes) -> tuple[WaterPlace, ...]:
    """Every water of the plan. What a measured water leaves out is assumed; a mixed one takes it from its parts."""
    sources = {*plan.water_point, *plan.vat}
    return tuple(_water(name, one, sources, plan, defaults, mistakes) for name, one in plan.water.items())


def _water(
    name: str, table: Water, sources: set[str], plan: Plan, defaults: Defaults, mistakes: Mistakes
) -> WaterPlace:
    comes_from = table.comes_from or ((name,) if name in sources else ())
    used = {part for one in plan.water.values() for part in one.mix}
    if not comes_from and name not in used:
        mistakes.say(
            WATER_OF_NOTHING,
            f"water {name}",
            "comes from no water point or vat and is mixed into no other water, so no tank gets it",
            severity=Severity.NOTE,
            line=table.line,
            reason="it can still be proposed for a blend",
            remedy='say comes_from = ["tap"], or leave it as a water one could buy',
        )
    take = defaults.take if not table.mix else _only_given
    no_chlorine = derived(0.0, "the plan says none is added") if table.disinfectant == "none" else None
    return WaterPlace(
        id=name,
        comes_from=comes_from,
        mix=tuple(table.mix.items()),
        winter=take("water.winter", table.winter),
        summer=take("water.summer", table.summer),
        ph=take("water.ph", table.ph),
        general_hardness=take("water.general_hardness", table.general_hardness),
        carbonate_hardness=take("water.carbonate_hardness", table.carbonate_hardness),
        conductivity=table.conductivity,
        chlorine=take("water.chlorine", table.chlorine or no_chlorine),
        disinfectant=table.disinfectant,
        nitrate=take("water.nitrate", table.nitrate),
        ammonia=table.ammonia,
        price=table.price,
        line=table.line,
    )


def _only_given(_key: str, given: Known | None = None) -> Known | None:
    return given


def wanted_by(plan: Plan, zone: ZonePlace) -> ZonePlace:
    """A zone with the water its tanks are meant to have."""
    table = plan.zone.get(zone.id)
    return zone if table is None or table.wants is None else replace(zone, wants=_wants(table.wants))


def _wants(table: Wants) -> WantedWater:
    return WantedWater(
        temperature=table.temperature,
        ph=table.ph,
        general_hardness=table.general_hardness,
        carbonate_hardness=table.carbonate_hardness,
        conductivity=table.conductivity,
        nitrate=table.nitrate,
        line=table.line,
    )


def lay_lives(
    plan: Plan,
    tanks: Mapping[str, Tank],
    zones: tuple[ZonePlace, ...],
    defaults: Defaults,
    mistakes: Mistakes,
) -> tuple[TankLife, ...]:
    """Heater, filter, temperature and stock of every tank, in their order; nothing when the plan says none of it."""
    if plan.climate is None and not plan.stock and not plan.water:
        return ()
    stocked = _stocked(plan, tanks, mistakes)
    species = _species(plan, mistakes)
    wants = {zone.id: zone.wants for zone in zones}
    return tuple(
        _life(plan, tank, stocked.get(name), species, wants.get(tank.zone), defaults)
        for name, tank in tanks.items()
    )


def lay_laws(lives: tuple[TankLife, ...], defaults: Defaults) -> LifeLaws | None:
    """What the tanks' life is worked out with; nothing where no life is described."""
    return None if not lives else LifeLaws(
        still=defaults.take("oxygen.still"),
        stirred=defaults.take("oxygen.stirred"),
        bubbles=defaults.take("oxygen.bubbles"),
        trouble=defaults.take("oxygen.trouble"),
        mulm=defaults.take("oxygen.mulm"),
        filter_rate=defaults.take("filter.rate"),
        filter_seed=defaults.take("filter.seed"),
        chlorine_decay=defaults.take("water.chlorine_decay"),
        chloramine=defaults.take("filter.chloramine"),
        wall_coat=defaults.take("tank.wall_coat"),
        each=defaults.take("stock.each"),
        activity=defaults.take("stock.activity"),
        feed_share=defaults.take("stock.feed_share"),
    )  # fmt: skip


def _stocked(plan: Plan, tanks: Mapping[str, Tank], mistakes: Mistakes) -> dict[str, Stock]:
    """Which row of the stock each tank has; a second one is said and left out."""
    found: dict[str, Stock] = {}
    for row in plan.stock:
        for name in tanks_named(row.tanks, f"stock {row.tanks}", row.line, tanks, mistakes):
            if name in found:
                mistakes.say(
                    STOCKED_TWICE,
                    f"tank {name}",
                    "is stocked by two rows; only the first is counted",
                    line=row.line,
                    places=(name,),
                    reason="the second would be a second set of fish in the same water",
                    remedy="name the tank in one row",
                )
                continue
            found[name] = row
    return found


def _species(plan: Plan, mistakes: Mistakes) -> dict[str, Species]:
    """The facts about every species the stock names, the owner's own before the table's."""
    found: dict[str, Species] = {}
    own = {name.casefold(): (name, table) for name, table in plan.species.items()}
    for row in plan.stock:
        name = row.species
        if name is None or name in found:
            continue
        known = find_species(name)
        if name.casefold() in own:
            found[name] = _own(*own[name.casefold()], known)
        elif known is not None:
            found[name] = known
        else:
            names = [one.name for one in all_species()]
            close = nearest(name, [*names, *plan.species])
            mistakes.say(
                UNKNOWN_SPECIES,
                f"stock {row.tanks}",
                f'names "{clip(name)}", a species the table does not have, so its water is not judged',
                severity=Severity.NOTE,
                line=row.line,
                reason="a guess about what a fish bears would look like a fact",
                remedy=(f'write "{close}"' if close else "correct the name")
                + f', or say what it bears under [species."{clip(name)}"]',
                found=f'"{name}"',
                wanted=listed(names),
                attempt=f'"{close}"' if close else "",
            )
    return found


def _own(name: str, table: OwnSpecies, known: Species | None) -> Species:
    source = table.source or YOUR_PLAN
    base = known or Species(name=name)

    def span(pair: tuple[Known, Known] | None, other: Range | None) -> Range | None:
        if pair is None:
            return other
        return Range(low=pair[0].value, high=pair[1].value, source=source)

    return replace(
        base,
        ph=span(table.ph, base.ph),
        hardness=span(table.hardness, base.hardness),
        temperature=span(table.temperature, base.temperature),
        length=table.length.value if table.length else base.length,
        length_source=source if table.length else base.length_source,
    )


def _life(
    plan: Plan,
    tank: Tank,
    row: Stock | None,
    species: Mapping[str, Species],
    wants: WantedWater | None,
    defaults: Defaults,
) -> TankLife:
    kind, own = plan.tank_kind.get(tank.kind), plan.tank.get(tank.id)
    wanted = _middle(wants)
    temperature = defaults.take("tank.temperature", wanted)
    media = (own.filter_media if own else None) or (kind.filter_media if kind else None)
    heater = (own.heater if own else None) or (kind.heater if kind else None)
    return TankLife(
        tank=tank.id,
        wanted_temperature=temperature,
        filter_media=defaults.take("filter.media", media),
        heater=None if heater is None else _heater(heater, temperature),
        stock=None if row is None else _stock(tank.id, row, species.get(row.species or ""), defaults),
    )


def _middle(wants: WantedWater | None) -> Known | None:
    if wants is None or wants.temperature is None:
        return None
    low, high = wants.temperature
    return replace(
        derived((low.value + high.value) / 2.0, "the middle of what its zone wants"), line=low.line
    )


def _heater(table: TankHeater, wanted: Known) -> HeaterPlace:
    holds = table.holds or wanted
    return HeaterPlace(
        power=table.power,
        count=table.count,
        holds=holds,
        top=table.top_above_base,
        cuts_out_at=table.cuts_out_at,
        line=table.line,
    )


def _stock(tank: str, row: Stock, facts: Species | None, defaults: Defaults) -> StockPlace:
    each = row.each or _by_length(row, defaults) or defaults.take("stock.each")
    if row.mass is not None:
        mass: Known | None = row.mass
    else:
        mass = None if row.count is None else scaled(each, float(row.count), f"{row.count} fish")
    feed = row.feed
    if feed is None and mass is not None:
        share = defaults.take("stock.feed_share")
        feed = scaled(share, mass.value / DAY, "a share of the fish's mass each day")
    return StockPlace(
        tank=tank,
        species=row.species,
        facts=facts,
        count=row.count,
        each=each,
        mass=mass,
        feed=feed,
        protein=defaults.take("stock.protein", row.protein),
        activity=defaults.take("stock.activity"),
        line=row.line,
    )


def _by_length(row: Stock, defaults: Defaults) -> Known | None:
    """The mass of a fish from its length, by its condition: g over cm cubed is 1000 kg/m3."""
    if row.length is None:
        return None
    return scaled(defaults.take("stock.condition"), 1000.0 * row.length.value**3, "from its length")
