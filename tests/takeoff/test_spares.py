"""What is bought beyond what is counted, each with its reason."""

from __future__ import annotations

import pytest

from tankwright.plan.models import Plan
from tankwright.plan.reading import read_plan_text
from tankwright.takeoff.counted import Counted
from tankwright.takeoff.counting import count_parts
from tankwright.takeoff.model import Article, Kind, Need, SoldBy, Spare, State
from tankwright.takeoff.spares import spares_of

from .part_rooms import example, small_room

ROOM = small_room()[1]


def counted(kind: Kind, count: int, sold_by: SoldBy = "piece", key: str = "it", **need: object) -> Counted:
    return Counted(
        articles=(Article(key=key, kind=kind, sold_by=sold_by),),
        needs=(Need(article=key, count=count, system="x", where="here", **need),) if count else (),  # type: ignore[arg-type] # any field of a need
    )  # fmt: skip


def plan_with(buy: str = "") -> Plan:
    plan = read_plan_text(
        f'[room.r]\nsize = {{ length = "3 m", width = "3 m", height = "2 m" }}\n{buy}', "x.toml"
    ).plan
    assert plan is not None
    return plan


def only(one: Counted, buy: str = "") -> Spare | None:
    found = spares_of(one, plan_with(buy), ROOM)
    assert len(found) <= 1
    return found[0] if found else None


@pytest.mark.parametrize(
    ("kind", "count", "spare"),
    [("screw", 408, 21), ("fitting", 20, 1), ("fitting", 21, 2), ("clip", 1, 1), ("dripper", 34, 2)],
)  # fmt: skip
def test_of_small_parts_one_in_twenty_is_bought_more_rounded_up(kind: Kind, count: int, spare: int) -> None:
    found = only(counted(kind, count))
    assert found is not None
    assert found.count == spare
    assert found.reason


def test_the_share_of_the_plan_is_taken_and_told() -> None:
    found = only(counted("screw", 100), '[buy]\nspares = "12 %"')
    assert found == Spare(article="it", count=12, reason="lost, split or wrong, the share of [buy]")
    assert only(counted("screw", 100), '[buy]\nspares = "0 %"') is None


@pytest.mark.parametrize("kind", ["bulkhead", "dripper", "valve", "filter", "diffuser", "tap"])
def test_of_what_fails_on_a_sunday_there_is_always_one(kind: Kind) -> None:
    found = only(counted(kind, 3), '[buy]\nspares = "0 %"')
    assert found is not None
    assert found.count == 1
    assert found.reason.startswith("at least one: ")


def test_a_residual_current_device_has_one_in_reserve() -> None:
    found = only(counted("other", 3, key="breaker 10 A with residual current device 30 mA"))
    assert found is not None
    assert found.count == 1
    assert "electrician" in found.reason
    assert only(counted("other", 3, key="breaker 10 A")) is None


def test_roll_goods_and_tins_have_their_wastage() -> None:
    hose = only(counted("hose", 4, "metre", length=2.5))
    assert hose is not None
    assert hose.length == pytest.approx(1.0)
    foil = only(counted("sheet", 1, "area", area=20.0), '[buy]\nwastage = "20 %"')
    assert foil is not None
    assert foil.area == pytest.approx(4.0)
    paint = only(counted("glue", 2, "volume", volume=1e-3))
    assert paint is not None
    assert paint.volume == pytest.approx(2e-4)
    assert only(counted("other", 2, "volume", volume=1e-3)) is None


@pytest.mark.parametrize(
    ("kind", "sold_by"), [("pipe", "length"), ("glass", "sheet"), ("tank", "piece"), ("machine", "piece")]
)
def test_pieces_to_cut_and_large_things_have_no_spare(kind: Kind, sold_by: SoldBy) -> None:
    assert only(counted(kind, 50, sold_by)) is None


@pytest.mark.parametrize("state", ["stands", "ordered", "made here"])
def test_what_is_not_bought_has_no_spare(state: State) -> None:
    assert only(counted("fitting", 50, state=state)) is None


def test_an_article_nobody_needs_is_kept_as_one() -> None:
    found = only(counted("pump", 0, key="diaphragm kit for pump p"))
    assert found is not None
    assert (found.count, found.article) == (1, "diaphragm kit for pump p")
    assert only(counted("pipe", 0, "length")) is None


@pytest.mark.parametrize("name", ["cellar_mended", "garage"])
def test_every_spare_of_an_example_names_an_article_once_and_says_why(name: str) -> None:
    takeoff = count_parts(*example(name))
    names = [spare.article for spare in takeoff.spares]
    assert len(names) == len(set(names))
    assert set(names) <= {article.key for article in takeoff.articles}
    assert all(spare.reason and spare.count >= 1 for spare in takeoff.spares)
    assert any(name.startswith("gasket") for name in names)
    assert any(name.startswith("diaphragm kit") for name in names)
