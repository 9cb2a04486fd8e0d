"""Air counted: pump ports and lead, ring and branches with their pieces, every tap, every tube with its diffuser.

A tap is screwed into a hole that is drilled and tapped in the pipe's wall, so the pipe goes on uncut behind it. Pipes
of air carry a few kilopascals; a compressor never belongs on them.
"""

from __future__ import annotations

from dataclasses import dataclass

from tankwright.catalogue.size_names import size_name
from tankwright.finding import Finding, Severity
from tankwright.origin import Known
from tankwright.plan.models import Plan
from tankwright.room.assumed import assumed
from tankwright.room.model import AirRun, PipeRun, Place, Room, TapPlace
from tankwright.takeoff.bridging import bridged
from tankwright.takeoff.counted import Counted, merged
from tankwright.takeoff.ends import read_end
from tankwright.takeoff.joints import Joiner, PipeKind, rests, tube_of
from tankwright.takeoff.laying import Layer
from tankwright.takeoff.piping import Piping
from tankwright.takeoff.place_words import web_words
from tankwright.takeoff.putting import in_words, joined, put, put_made, tally_of
from tankwright.takeoff.shapes import Shape
from tankwright.takeoff.sticks import Sticks
from tankwright.takeoff.tally import Tally, listed
from tankwright.takeoff.webs import Strand, web_of
from tankwright.units import Metre

DIFFUSERS = {"sponge": "sponge filter", "stone": "air stone"}
"""What ends a tube; an open tube ends in nothing."""


def count_airs(plan: Plan, room: Room, joiner: Joiner) -> Counted:
    """Every air run."""
    sticks = Sticks(plan.buy, room, joiner.longest)
    guessed: list[str] = []
    counted = [_air(plan, room, run, joiner, sticks, guessed) for run in room.airs]
    return merged(*counted, Counted(findings=_say_ports(guessed)))


def _say_ports(guessed: list[str]) -> tuple[Finding, ...]:
    """The ports whose size nobody said."""
    if not guessed:
        return ()
    return (
        Finding(
            code="PART-09",
            severity=Severity.NOTE,
            subject="air pumps",
            text=f"have one adapter counted for the port of {listed(guessed)}, of a size nobody said",
            reason="ports of pumps follow no standard",
            remedy=f'look at each, and write what it is, as fitting = "18 mm barb" in [pump.{guessed[0]}], or the '
            "adapters of [air] with their bore",
            places=tuple(dict.fromkeys(guessed)),
        ),
    )


def _air(plan: Plan, room: Room, run: AirRun, joiner: Joiner, sticks: Sticks, guessed: list[str]) -> Counted:
    tally = tally_of(room, "air", run)
    layer = Layer(room=room, tally=tally, joiner=joiner, sticks=sticks)
    adapters = [pipe for pipe in run.pipes if pipe.end.startswith(f"{run.id}.adapter ")]
    pipes = [pipe for pipe in run.pipes if pipe not in adapters]
    inlet = adapters[-1].end if adapters else run.inlet
    stated = plan.air[run.id].lead is not None
    kinds: dict[tuple[str, Metre], PipeKind] = {}
    strands = []
    for pipe in pipes:
        is_lead = pipe.start == inlet
        text = _made_of(run, pipe)
        strands.append(
            Strand(
                id=pipe.id,
                start=pipe.start,
                end=pipe.end,
                path=_square(pipe.path) if is_lead else pipe.path,
                pipe=text,
                bore=pipe.bore.value,
                length=pipe.length if is_lead and (stated or pipe.path[0] == pipe.path[-1]) else None,
            )
        )
        if (text, pipe.bore.value) not in kinds:
            kinds[text, pipe.bore.value] = joiner.pipe(text, pipe.bore)
            layer.write(kinds[text, pipe.bore.value])
    behind = {run.inlet, *(pipe.end for pipe in adapters)} - {inlet}  # they lie where the lead begins
    web = web_of(((name, place) for name, place in run.nodes if name not in behind), strands)
    begin = web.spot_of[inlet]
    fixed = {web.spot_of[inlet], *(web.spot_of[tap.node] for tap in run.taps)}
    sizes = {key: joiner.measures(kind) for key, kind in kinds.items() if kind.soft}
    bent = bridged(web, lambda leg: sizes.get((leg.pipe, leg.bore)), fixed)
    web = bent.web
    tally.words |= web_words(room, run, web)
    tally.bent(bent)
    drilled = frozenset(web.spot_of[tap.node] for tap in run.taps)
    piping = Piping(layer=layer, web=web, kinds=kinds, open_ends=frozenset({begin}), drilled=drilled)
    piping.count()
    _pumps(plan, run, layer, piping.main(begin), [pipe.bore for pipe in adapters], guessed)
    outlets = _Outlets(run, room, tally, joiner, DIFFUSERS.get(plan.air[run.id].diffuser.kind, ""))
    for tap in run.taps:
        outlets.tap(tap, piping.main(web.spot_of[tap.node]))
    return tally.counted()


def _made_of(run: AirRun, pipe: PipeRun) -> str:
    """What a pipe is made of, as the plan names it: a branch's nodes carry its number."""
    number = pipe.end.removeprefix(f"{run.id}.").split(".")[0]
    of_branch = pipe.end.count(".") - run.id.count(".") == 2 and number.isdigit()
    return run.branch_pipes[int(number) - 1] if of_branch else run.pipe


def _square(path: tuple[Place, ...]) -> tuple[Place, ...]:
    """The lead square to the walls, and at last up or down into the ring: so long is it taken to be."""
    (x0, y0, z0), (x1, y1, z1) = path[0], path[-1]
    return (x0, y0, z0), (x1, y0, z0), (x1, y1, z0), (x1, y1, z1)


def _pumps(
    plan: Plan, run: AirRun, layer: Layer, lead: PipeKind, adapters: list[Known], guessed: list[str]
) -> None:
    """From the port of each pump to the lead; pumps side by side are joined by tees, each with its own valves."""
    tally, joiner, display = layer.tally, layer.joiner, layer.room.display
    several = len(run.pumps) > 1
    tees, why = put(tally, joiner, lead, Shape(fittings=("tee",) * (len(run.pumps) - 1)), run.inlet)
    tally.joint(run.inlet, (), tees, why)
    for pump in run.pumps:
        where = f"{tally.subject}, at the port of {pump}"
        said = plan.pump[pump].fitting if pump in plan.pump else None
        keys: list[str] = []
        if adapters:
            keys = [
                tally.article(
                    f"adapter {size_name(bore.value, display)} bore, {_note(plan, run, number)}", "fitting"
                )
                for number, bore in enumerate(adapters)
            ]
        elif said is not None:
            _from_port(layer, said, lead, run.inlet, where, pump)
        else:
            guessed.append(pump)
            keys = [tally.article(f"pump port adapter to {lead.words}", "fitting", note="measure the port")]
        if several:
            keys += [
                tally.article(f"check valve for {lead.words}", "valve"),
                tally.article(f"shut-off valve for {lead.words}", "valve"),
            ]
        for key in keys:
            tally.need(key, where, joint=run.inlet, places=(pump,))
        tally.joint(run.inlet, (f"port of {pump}", lead.words), keys)
    if run.relief is not None:
        opens = in_words(run.relief.value, "Pa", ("kPa", "psi"), display)
        key = tally.article(f"relief valve {opens}", "valve", note="it opens at this pressure")
        tally.need(
            key, "screwed into the lead, behind the pump", joint=f"{run.id}.relief", line=run.relief.line
        )
        tally.joint(f"{run.id}.relief", (lead.words, "relief valve"), (key,))


def _from_port(layer: Layer, text: str, lead: PipeKind, node: str, where: str, pump: str) -> None:
    """What leads from a port that the plan names to the lead."""
    end = read_end(text)
    if isinstance(end, Finding):
        why = f'port "{text}" of {pump} {end.text}'
        layer.tally.unjoined(why, 'write the end as the parts list does, "18 mm barb"', node)
        layer.tally.joint(node, (text,), (), why)
        return
    keys, why = joined(layer.tally, layer.joiner, end, lead.end, node, where, (pump,))
    layer.tally.joint(node, (text,), keys, why)


def _note(plan: Plan, run: AirRun, number: int) -> str:
    return plan.air[run.id].adapters[number].note or f"number {number + 1} from the pump"


@dataclass(frozen=True, slots=True)
class _Outlets:
    """The taps of a run and what hangs on them. `diffuser` is "" where tubes end open."""

    run: AirRun
    room: Room
    tally: Tally
    joiner: Joiner
    diffuser: str

    def tap(self, tap: TapPlace, pipe: PipeKind) -> None:
        """One tap in a hole drilled in the pipe, and its tube where it serves a tank."""
        bore = tap.tube_bore or self._usual_bore()
        made = self.joiner.tap(pipe, tube_of(bore.value))
        serves = f"for {tap.tank}" if tap.tank else "spare" + (", left open" if tap.open else ", closed")
        size = size_name(tap.bore.value, self.room.display)
        places = (tap.tank,) if tap.tank else ()
        keys, why = put_made(
            self.tally,
            self.joiner,
            made,
            tap.id,
            f"{self._name(tap)}, {serves}; bore {size} where it is open",
            places,
        )
        self.tally.joint(tap.id, (f"{pipe.words}, drilled", tube_of(bore.value).words), keys, why)
        if tap.tank is not None and tap.tube_length is not None:
            self._tube(tap, tap.tank, bore, tap.tube_length)

    def _name(self, tap: TapPlace, *, whole: bool = True) -> str:
        short = tap.id.removeprefix(f"{self.run.id}.")
        return f"{self.tally.subject}, {short}" if whole else short

    def _usual_bore(self) -> Known:
        """The bore of the other taps' tubes, for one that has none yet."""
        said = next((one.tube_bore for one in self.run.taps if one.tube_bore is not None), None)
        return said or assumed(self.room, "air.tube_bore")

    def _tube(self, tap: TapPlace, tank: str, bore: Known, length: Known) -> None:
        words = tube_of(bore.value).words
        tube = self.tally.article(words, "tube", "metre", rests_on=rests(bore))
        where = f"{self.tally.subject}, from {self._name(tap, whole=False)} to the diffuser of {tank}"
        self.tally.need(tube, where, length=length.value, places=(tank,), rests_on=rests(bore, length))
        keys = []
        if tap.check_valve:
            keys.append(self.tally.article(f"check valve for {words}", "valve"))
        if self.diffuser:
            keys.append(self.tally.article(self.diffuser, "diffuser"))
        for key in keys:
            self.tally.need(key, where, joint=f"{tap.id}.tube", places=(tank,))
        self.tally.joint(f"{tap.id}.tube", (words, self.diffuser or "open in the water"), keys)
