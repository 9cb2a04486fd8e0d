"""The takeoff and what is bought for it, in full for JSON."""

from __future__ import annotations

from tankwright.finding import Finding
from tankwright.report.cut import json_cuts
from tankwright.report.finding import json_finding
from tankwright.takeoff.purchase_model import Purchase
from tankwright.takeoff.sheet_model import SheetPlan


def json_parts(bought: Purchase, findings: tuple[Finding, ...]) -> dict[str, object]:
    """Articles, where each piece goes, joints, spares, cuts, sheets and the shopping list; units in the key names.

    >>> from tankwright.takeoff.model import Takeoff
    >>> from tankwright.takeoff.purchase import purchase
    >>> json_parts(purchase(Takeoff()), ())["buy"]
    []
    """
    takeoff = bought.takeoff
    return {
        "articles": [
            {"article": one.key, "kind": one.kind, "sold_by": one.sold_by, "source": one.source or None,
             "note": one.note or None, "rests_on": list(one.rests_on)}
            for one in takeoff.articles
        ],
        "needs": [
            {"article": one.article, "count": one.count, "system": one.system, "where": one.where,
             "places": list(one.places), "length_m": one.length, "size_m": list(one.size) if one.size else None,
             "area_m2": one.area, "volume_m3": one.volume, "state": one.state, "mark": one.mark or None,
             "joint": one.joint or None, "line": one.line}
            for one in takeoff.needs
        ],
        "joints": [
            {"node": one.node, "system": one.system, "ends": list(one.ends), "articles": list(one.articles),
             "made": one.made, "why": one.why or None}
            for one in takeoff.joints
        ],
        "spares": [
            {"article": one.article, "count": one.count, "reason": one.reason, "length_m": one.length,
             "area_m2": one.area, "volume_m3": one.volume}
            for one in takeoff.spares
        ],
        "cuts": [
            {"article": one.article, "lengths_assumed": one.assumed, **json_cuts(one.plan)} for one in bought.cuts
        ],
        "sheets": [
            {"article": one.article, "sizes_assumed": one.assumed, **json_sheets(one.plan)} for one in bought.sheets
        ],
        "buy": [
            {"article": one.article, "kind": one.kind, "unit": one.unit, "needed": one.needed, "spare": one.spare,
             "on_hand": one.on_hand, "pack": one.pack, "buy": one.buy, "price": one.price, "cost": one.cost,
             "length_m": one.length, "size_m": list(one.size) if one.size else None}
            for one in bought.rows
        ],
        "currency": bought.currency or None,
        "cost_of_what_has_a_price": bought.cost,
        "without_a_price": list(bought.unpriced),
        "findings": [json_finding(one) for one in findings],
    }  # fmt: skip


def json_sheets(plan: SheetPlan) -> dict[str, object]:
    """How sheets are cut: each with its pieces and its cuts in their order, metres from its lower left corner.

    >>> json_sheets(SheetPlan())["sheets"]
    []
    """
    return {
        "measure": plan.measure,
        "value": plan.value,
        "lower_bound": plan.lower_bound,
        "proved_optimal": plan.proved_optimal,
        "gap": plan.gap,
        "how": plan.how,
        "waste_share": plan.waste,
        "unplaced": list(plan.unplaced),
        "sheets": [
            {
                "width_m": one.stock.width,
                "height_m": one.stock.height,
                "price": one.stock.price,
                "offcut": one.stock.offcut,
                "pieces": [
                    {"label": piece.label, "x_m": piece.x, "y_m": piece.y, "width_m": piece.width,
                     "height_m": piece.height, "turned": piece.turned}
                    for piece in one.pieces
                ],
                "cuts": [
                    {"upright": made.upright, "at_m": made.at, "start_m": made.start, "end_m": made.end}
                    for made in one.cuts
                ],
            }
            for one in plan.sheets
        ],
    }  # fmt: skip
