"""The inner loop of the flow solver: Newton's method on the node potentials (global gradient method).

Written once, in plain loops over one-dimensional sequences, so that the same text runs interpreted on lists
(small jobs, where starting a compiler would cost more than it saves) and compiled on arrays (`engine`).

The unknown at a node is a potential. For a liquid it is p + rho g z. For a gas at constant temperature it is
p + p^2 / (2 ambient), with p gauge: the isothermal law p1^2 - p2^2 = (f L/D) G^2 p/rho then takes exactly the
shape of the liquid law in the flow at ambient pressure, so density needs no outer loop.

Every link is a straight line through a point of its law, flow = flow0 + gain * (difference - difference0).
The solved straight network gives the next points. Where a law is flat the point follows the pressure, where
it is steep the point follows the flow.

Source: E. Todini and S. Pilati (1988), "A gradient algorithm for the analysis of pipe networks". The rules
for one-way links, for switching and for careful steps are this program's own.
"""

from __future__ import annotations

from typing import Any

from tankwright.networks.laws import (
    BLOCKED,
    QUIET_FLOW,
    Floats,
    outlet_line,
    pipe_flow,
    pipe_loss,
    source_line,
)

Whole = Any
"""A list of whole numbers or an int64 array, one-dimensional."""

PIPE_STRIDE = 8
OUTLET_STRIDE = 6

QUIET_PRESSURE = 1e-8
"""A check valve opens only above this, Pa, so that rounding does not make it flutter."""

MOST_CUTS = 30
"""How often one step may be shortened."""

CAREFUL_FROM = 12
"""After this many iterations every link follows its pressure, and a step is shortened until it fits.

The imbalance is then the gradient of a convex function of the potentials, so this way ends; it is only
slower."""


def solve_linear(
    unknowns: int,
    column_start: Whole,
    row: Whole,
    target: Whole,
    diagonal: Floats,
    lower: Floats,
    right: Floats,
) -> None:
    """Solve the symmetric system in place (LDL^T on a known pattern); the answer is left in `right`."""
    t = 0
    for j in range(unknowns):
        d = diagonal[j]
        if not d > 1e-40:
            d = 1e300  # a node nothing holds: it stays where it is
        diagonal[j] = d
        b = right[j]
        end = column_start[j + 1]
        for p in range(column_start[j], end):
            value = lower[p]
            share = value / d
            i = row[p]
            diagonal[i] -= share * value
            right[i] -= share * b
            for q in range(p + 1, end):
                lower[target[t]] -= share * lower[q]
                t += 1
            lower[p] = share
    for j in range(unknowns - 1, -1, -1):
        value = right[j] / diagonal[j]
        for p in range(column_start[j], column_start[j + 1]):
            value -= lower[p] * right[row[p]]
        right[j] = value


def solve_scenarios(  # noqa: PLR0912, PLR0913, PLR0915, PLR0917 - compiled: one list, one loop
    unknowns: int,
    column_start: Whole,
    row: Whole,
    target: Whole,
    pipe_start: Whole,
    pipe_end: Whole,
    pipe_slot: Whole,
    pipe_one_way: Whole,
    pipe_law: Floats,
    outlet_node: Whole,
    outlet_kind: Whole,
    outlet_law: Floats,
    source_node: Whole,
    source_first: Whole,
    curve_pressure: Floats,
    curve_flow: Floats,
    lift: Floats,
    squeeze: float,
    scales: Floats,
    lowest: float,
    highest: float,
    start_potential: Floats,
    start_flow: Floats,
    potential: Floats,
    flow: Floats,
    all_outlet_flows: Floats,
    point_flow: Floats,
    point_head: Floats,
    gain: Floats,
    state: Whole,
    diagonal: Floats,
    lower: Floats,
    right: Floats,
    promised: Floats,
    report: Floats,
    tolerance: float,
    max_iterations: int,
) -> None:
    """Solve the network once for every row of `scales` (a number an outlet, flat), each from the same start.

    Links are numbered pipes, outlets, sources; `flow` (inflow for a source) and `potential` hold the last
    row, `all_outlet_flows` every row. No potential can lie outside `lowest` and `highest`, so none is let out.
    `report` gets two numbers a row: iterations (negative if it did not settle) and the estimated share of the
    total flow still wrong. Nodes from `unknowns` on keep their potential.
    """
    nodes = len(lift)
    pipes = len(pipe_start)
    outlets = len(outlet_node)
    sources = len(source_node)
    links = pipes + outlets + sources
    entries = len(row)
    rows = len(report) // 2
    for scenario in range(rows):
        at_scale = scenario * outlets
        for i in range(nodes):
            potential[i] = start_potential[i]
        for e in range(pipes):
            q = start_flow[e]
            point_flow[e] = q
            loss, slope = pipe_loss(q, pipe_law, PIPE_STRIDE * e)
            point_head[e] = loss
            gain[e] = 1.0 / slope
            state[e] = 1
        for o in range(outlets):
            link = pipes + o
            node = outlet_node[o]
            point_flow[link], point_head[link], gain[link], state[link] = outlet_line(
                outlet_kind[o],
                outlet_law,
                OUTLET_STRIDE * o,
                scales[at_scale + o],
                squeeze,
                0.0,
                0.0,
                potential[node] - lift[node],
                0,
            )
        for s in range(sources):
            link = pipes + outlets + s
            node = source_node[s]
            point_flow[link], point_head[link], gain[link], state[link] = source_line(
                curve_pressure,
                curve_flow,
                source_first[s],
                source_first[s + 1],
                squeeze,
                0.0,
                potential[node] - lift[node],
                0,
            )
        iteration = 0
        before = 0.0
        left = 1e300
        settled = False
        while iteration < max_iterations and not settled:
            iteration += 1
            # imbalance of every node on the straight lines, and the matrix of their gains
            for i in range(nodes):
                diagonal[i] = 0.0
                right[i] = 0.0
            for k in range(entries + 1):
                lower[k] = 0.0
            for e in range(pipes):
                a = pipe_start[e]
                b = pipe_end[e]
                g = gain[e]
                q = point_flow[e] + g * (potential[a] - potential[b] - point_head[e])
                flow[e] = q
                right[a] -= q
                right[b] += q
                diagonal[a] += g
                diagonal[b] += g
                lower[pipe_slot[e]] -= g
            for o in range(outlets):
                link = pipes + o
                node = outlet_node[o]
                g = gain[link]
                q = point_flow[link] + g * (potential[node] - lift[node] - point_head[link])
                flow[link] = q
                right[node] -= q
                diagonal[node] += g
            for s in range(sources):
                link = pipes + outlets + s
                node = source_node[s]
                g = gain[link]
                q = point_flow[link] - g * (potential[node] - lift[node] - point_head[link])
                flow[link] = q
                right[node] += q
                diagonal[node] += g
            if iteration >= CAREFUL_FROM:
                for i in range(unknowns):
                    promised[i] = right[i]
            solve_linear(unknowns, column_start, row, target, diagonal, lower, right)
            for i in range(unknowns, nodes):
                right[i] = 0.0
            held = False
            for i in range(unknowns):
                reached = potential[i] + right[i]
                if reached > highest or reached < lowest:
                    held = True
                    reached = highest if reached > highest else lowest
                    right[i] = reached - potential[i]
                potential[i] = reached
            # move every link along its line, then take the next point of its law
            change = 0.0
            total = 0.0
            switched = False
            careful = iteration >= CAREFUL_FROM
            for e in range(pipes):
                a = pipe_start[e]
                b = pipe_end[e]
                q = flow[e] + gain[e] * (right[a] - right[b])
                flow[e] = q
                change += abs(q - point_flow[e])
                total += abs(q)
                if careful:
                    continue
                if pipe_one_way[e] == 1 and (state[e] == 0 or q < -QUIET_FLOW):
                    ahead = potential[a] - potential[b]
                    if state[e] == 1 or ahead <= QUIET_PRESSURE:
                        switched = switched or state[e] == 1
                        state[e] = 0
                        point_flow[e] = 0.0
                        point_head[e] = ahead
                        gain[e] = BLOCKED * BLOCKED / pipe_law[PIPE_STRIDE * e + 1]
                        continue
                    switched = True
                    state[e] = 1
                    q = 0.0
                point_flow[e] = q
                loss, slope = pipe_loss(q, pipe_law, PIPE_STRIDE * e)
                point_head[e] = loss
                gain[e] = 1.0 / slope
            for o in range(outlets):
                link = pipes + o
                node = outlet_node[o]
                q = flow[link] + gain[link] * right[node]
                flow[link] = q
                previous = point_flow[link]
                change += abs(q - previous)
                total += abs(q)
                if careful:
                    continue
                was_open = state[link]
                point_flow[link], point_head[link], gain[link], state[link] = outlet_line(
                    outlet_kind[o],
                    outlet_law,
                    OUTLET_STRIDE * o,
                    scales[at_scale + o],
                    squeeze,
                    q,
                    previous,
                    potential[node] - lift[node],
                    was_open,
                )
                switched = switched or state[link] != was_open
            for s in range(sources):
                link = pipes + outlets + s
                node = source_node[s]
                q = flow[link] - gain[link] * right[node]
                flow[link] = q
                change += abs(q - point_flow[link])
                total += abs(q)
                if careful:
                    continue
                was_open = state[link]
                point_flow[link], point_head[link], gain[link], state[link] = source_line(
                    curve_pressure,
                    curve_flow,
                    source_first[s],
                    source_first[s + 1],
                    squeeze,
                    q,
                    potential[node] - lift[node],
                    was_open,
                )
                switched = switched or state[link] != was_open
            quiet = QUIET_FLOW * links
            if careful:
                first = 0.0
                taken = 1.0
                for attempt in range(MOST_CUTS):
                    # every link at its own pressure difference, and the work left along the step
                    work = 0.0
                    for e in range(pipes):
                        a = pipe_start[e]
                        b = pipe_end[e]
                        ahead = potential[a] - potential[b]
                        point_head[e] = ahead
                        if pipe_one_way[e] == 1 and ahead <= 0.0:
                            state[e] = 0
                            point_flow[e] = 0.0
                            gain[e] = BLOCKED * BLOCKED / pipe_law[PIPE_STRIDE * e + 1]
                        else:
                            state[e] = 1
                            q = pipe_flow(ahead, pipe_law, PIPE_STRIDE * e, flow[e])
                            point_flow[e] = q
                            loss, slope = pipe_loss(q, pipe_law, PIPE_STRIDE * e)
                            gain[e] = 1.0 / slope
                            work -= q * (right[a] - right[b])
                    for o in range(outlets):
                        link = pipes + o
                        node = outlet_node[o]
                        point_flow[link], point_head[link], gain[link], state[link] = outlet_line(
                            outlet_kind[o],
                            outlet_law,
                            OUTLET_STRIDE * o,
                            scales[at_scale + o],
                            squeeze,
                            0.0,
                            0.0,
                            potential[node] - lift[node],
                            0,
                        )
                        work -= point_flow[link] * right[node]
                    for s in range(sources):
                        link = pipes + outlets + s
                        node = source_node[s]
                        point_flow[link], point_head[link], gain[link], state[link] = source_line(
                            curve_pressure,
                            curve_flow,
                            source_first[s],
                            source_first[s + 1],
                            squeeze,
                            0.0,
                            potential[node] - lift[node],
                            0,
                        )
                        work += point_flow[link] * right[node]
                    if iteration == CAREFUL_FROM or change <= 1e-7 * total + quiet:
                        break  # the step was not made from this reading of the links, or it is tiny
                    if attempt == 0:
                        # what the step promised: the same sum at its beginning
                        first = 0.0
                        for i in range(unknowns):
                            first += promised[i] * right[i]
                    if not work < -0.9 * first or first <= 0.0:
                        break
                    cut = first / (first - work)
                    cut = max(cut, 0.1)
                    shorter = taken * cut
                    for i in range(unknowns):
                        potential[i] -= (taken - shorter) * right[i]
                    taken = shorter
            # the tail of a series that shrinks at least as fast as the last two steps did
            left = change
            if change < 0.1 * before:
                left = change * change / (before - change)
            if held and not switched and change <= 1e-3 * total + quiet:
                # a step cut short at a bound leaves nodes unbalanced, unless the node was cut off anyway
                for i in range(nodes):
                    promised[i] = 0.0
                for e in range(pipes):
                    promised[pipe_start[e]] -= flow[e]
                    promised[pipe_end[e]] += flow[e]
                for o in range(outlets):
                    promised[outlet_node[o]] -= flow[pipes + o]
                for s in range(sources):
                    promised[source_node[s]] += flow[pipes + outlets + s]
                held = False
                for i in range(unknowns):
                    held = held or abs(promised[i]) > tolerance * total + quiet
            if not switched and not held:
                settled = change <= quiet or left <= tolerance * total
            if total > quiet:
                left = left / total
            before = change
        for o in range(outlets):
            all_outlet_flows[at_scale + o] = flow[pipes + o]
        report[2 * scenario] = iteration if settled else -iteration
        report[2 * scenario + 1] = left
