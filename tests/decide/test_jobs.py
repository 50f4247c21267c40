"""Single orders: five by hand, and what must hold of any.

The hand calculation writes out the numbers of scenarios/larkspur-lane.toml and its sheet of test
prints and puts them together with nothing but arithmetic, in inches, millilitres and minutes.
"""

import dataclasses
from types import SimpleNamespace

import pytest
from helpers import (
    BARE,
    MACHINE,
    ROOT,
    TEE,
    exactly,
    money,
    plan_of,
    product,
    shipped,
    shipped_answer,
)

from planner.case import Case, choices
from planner.decide.answer import answer
from planner.decide.asking import Asked, price_at_margin, rush_surcharges
from planner.decide.job import MATERIAL, PARTS, Bench, Job, JobError, bench, costed, jobs
from planner.decide.prints import print_costs
from planner.plan import plan
from planner.scenario.estimates import Values
from planner.scenario.load import load
from planner.scenario.schema import Scenario

# ---------------------------------------------------------------- the shop, by hand
# width, height [in], copies, white, colour [mL], before, after powder [g]
SHEET = {
    "Bold crest on black": (10.5, 12.5, 2, 6.12, 2.49, 22.31, 24.20),
    "Line-art fern": (10.5, 12.5, 2, 3.56, 1.29, 20.02, 21.13),
    "Photo portrait": (11, 14, 1, 3.43, 1.71, 13.90, 14.92),
    "Small script logo": (4, 4, 5, 1.14, 0.46, 7.12, 7.49),
    "Distressed type": (10.5, 12.5, 2, 4.14, 1.57, 20.30, 21.60),
    "Full-bleed pattern": (11, 14, 1, 4.03, 2.17, 14.66, 15.86),
    "Team name and number": (10.5, 12.5, 2, 4.97, 1.82, 21.15, 22.70),
    "Pet cartoon": (10.5, 12.5, 2, 5.15, 2.32, 21.40, 23.02),
    "Coffee cup badge": (4, 4, 5, 1.47, 0.62, 7.30, 7.77),
    "School crest": (10.5, 12.5, 2, 5.62, 1.97, 21.95, 23.69),
    "Sunset stripe": (11, 14, 1, 2.67, 1.64, 13.22, 14.06),
    "Plain white slogan": (10.5, 12.5, 2, 4.59, 0.25, 20.80, 22.21),
}


def rates(*designs):
    """White, colour [mL/in²] and powder on the film [g/in²] of these test prints together."""
    rows = [SHEET[design] for design in designs]
    area = sum(width * height * copies for width, height, copies, *_ in rows)
    white, colour = sum(row[3] for row in rows), sum(row[4] for row in rows)
    return white / area, colour / area, sum(row[6] - row[5] for row in rows) / area


POOLED = rates(*SHEET)
CREST = rates("School crest")
WAGE = 18.50 * 1.13 / 60  # a minute
INCH_OF_FILM = 168 / (100 - 2.5) * 0.0254
OF_ROLL_ENDS = 2.5 / 100
POWDER = 21 / 1000 / (1 - 0.10)  # a gram on the film
AGAIN = 1.01
PRESSED = AGAIN / (1 - 0.01)  # pieces pressed for one sold
PRINTED = PRESSED / (1 - 0.03)  # transfers printed for one pressed piece sold
LOOSE = AGAIN / (1 - 0.03)  # and for one that is not pressed


def ink(white, colour):
    """What millilitres of ink cost."""
    return white * 88 / 1000 + colour * 94 / 1000


def month():
    """What a steady month asks for that belongs to no single print, and its good area [in²]."""
    weeks, days = 50 / 12, 5 * 50 / 12
    pieces = [81 * weeks, 13 * weeks, 11 * weeks]
    areas = [10.5 * 12.5, 4 * 4 + 11 * 14, 22 * 24]
    wet = [1.0, 0.85, 0.75]  # coverage, filled
    made = [PRINTED, PRINTED, LOOSE]
    printed = sum(n * m * a for n, m, a in zip(pieces, made, areas, strict=True))
    covered = sum(n * m * a * w for n, m, a, w in zip(pieces, made, areas, wet, strict=True))
    # 23.2 across: two of 10.5 in 8 rows for 16; two of 11 and five of 4 in 5 and 2 rows for 10
    film = [8 * 12.75 / 16, (5 * 14.25 + 2 * 4.25) / 10, 24.25]
    fed = sum(n * m * f for n, m, f in zip(pieces, made, film, strict=True))
    white, colour, _ = POOLED
    lost = 9 * days + 3 * (365 / 12 - days) + 60 * 2 / 12  # mL; two weeks off a year
    of_white = white / (white + colour)
    thrown_white = max(0.0, 1000 / 6 - covered * white - lost * of_white)
    thrown_colour = 4 * max(0.0, 1000 / 6 - (covered * colour + lost * (1 - of_white)) / 4)
    print_hours, dry_hours = printed / 144 / 23, printed / 144 / 31
    waiting = max(2.5 * days, dry_hours) - dry_hours + 20 / 60 * days
    idle = 0.06 * (24 * 365 / 12 - print_hours) + 4.8 * waiting
    failures = 0.6 * ((59 / 12) ** 1.3 - 1)  # after the year of warranty, to the 59th month of age
    parts = {
        "overheads": 160 + 39,
        "ink lost": ink(lost * of_white, lost * (1 - of_white)),
        "ink thrown away": ink(thrown_white, thrown_colour),
        "ends of runs": days * 40 * INCH_OF_FILM,
        "ends of rolls": fed * INCH_OF_FILM * OF_ROLL_ENDS,
        "supplies": 55,
        "insurance": 0.015 * 15000 / 12,
        "print heads": 2 * 620 * max(printed / 144 / 15000, 1 / 30),
        "repairs": failures * (180 + 4 * 420 + 1400) / 6 / 60,
        "care": (25 * days + 30 * weeks + 45 * 2 / 12) * WAGE,
        "electricity": idle * 0.19,
    }
    good = sum(n * a for n, a in zip(pieces, areas, strict=True))
    return sum(parts.values()), good


def equipment_a_month():
    """What the equipment costs a month at 14 % a year: outlays at signing less what it fetches."""
    white, colour, powder = POOLED
    plain = ink(white, colour) + powder * POWDER + 168 / (100 / 0.0254 * 24)
    training = 16 * 60 * WAGE + 40 * 144 * plain
    first_fill = 1100 * ink(white, colour) / (white + colour)
    signed = 15000 * 1.07 + 780 + 1150 + training + first_fill
    fetched = 10400 * 0.28 ** (60 / 36) + 4600 * 0.35 ** (60 / 36)
    rate = 1.14 ** (1 / 12) - 1
    return (signed - fetched * 1.14**-5) * rate / (1 - 1.14**-5)


def by_hand(*, pieces, areas, film, wet=1.0, own=POOLED, garments=0.0, is_pressed=True, designs=1):
    """Parts of an order, its share of the equipment and its price at a margin of 45 %.

    ``areas`` of the prints of one piece [in²], ``film`` of the whole order [in].
    """
    white, colour, powder = own
    area, made = pieces * sum(areas), PRINTED if is_pressed else LOOSE
    pressed = pieces * PRESSED * len(areas) if is_pressed else 0.0
    inked, (shared, good) = made * area * wet, month()
    power = 0.9 / 23 + 4.8 / 31  # kWh a square foot through printer and dryer
    parts = {
        "garment": garments,
        "ink": ink(inked * white, inked * colour),
        "film": made * film * INCH_OF_FILM * (1 - OF_ROLL_ENDS),
        "powder": inked * powder * POWDER,
        "artwork": designs * 12 * WAGE,
        "set-up": AGAIN * 8 * WAGE,
        "printing": made * area / 144 * 0.7 * WAGE,
        "cutting": made * pieces * len(areas) * 0.25 * WAGE,
        "pressing": pressed * 1.0 * WAGE,
        "waiting for a cold peel": 0.0,
        "packing": AGAIN * 1.20,
        "energy": (made * area / 144 * power + 1.8 * 0.45 * pressed / 60) * 0.19,
        "payment fee": 0.30,
        "upkeep and overheads": shared / good * area,
    }
    share = equipment_a_month() / good * area
    at_margin = (sum(parts.values()) + share) / (1 - 0.029 - 0.45)
    return SimpleNamespace(parts=parts, equipment=share, at_margin=at_margin)


BY_HAND = {
    # lying down, 12.5 across and 10.5 along
    "One shirt tomorrow": {
        "pieces": 1,
        "areas": [10.5 * 12.5],
        "film": 10.75,
        "garments": PRESSED * 3.40,
    },
    # two across; only the garments spoiled or redone are bought
    "Twelve hoodies, the customer's own": {
        "pieces": 12,
        "areas": [11 * 13],
        "film": 6 * 13.25,
        "garments": 12 * (PRESSED - 1) * 13.20,
    },
    # twelve rows of two backs, then five rows of chests
    "Twenty-four, chest and back": {
        "pieces": 24,
        "areas": [16, 154],
        "film": 12 * 14.25 + 5 * 4.25,
        "wet": 0.85,
        "garments": 24 * PRESSED * 13.20,
    },
    "Two hundred school tees": {
        "pieces": 200,
        "areas": [10.5 * 12.5],
        "film": 100 * 12.75,
        "own": CREST,
        "garments": 200 * PRESSED * 3.40,
        "designs": 0,
    },
    "Ten feet of filled sheet": {
        "pieces": 1,
        "areas": [22 * 120],
        "film": 120.25,
        "wet": 0.75,
        "is_pressed": False,
        "designs": 0,
    },
}


def larkspur() -> dict[str, Job]:
    """The five orders on the machine under the warranty that comes with it."""
    return {job.name: job for job in jobs(shipped_answer("larkspur-lane"))}


def test_the_page_speaks_of_the_machine_that_the_hand_calculation_is_for():
    choice = shipped_answer("larkspur-lane").best.choice
    assert choice.warranty.name == "Included, 12 months"
    assert list(larkspur()) == list(BY_HAND)


@pytest.mark.parametrize("name", BY_HAND)
def test_five_orders_by_hand(name):
    found, hand = larkspur()[name], by_hand(**BY_HAND[name])
    assert found.costs == money(hand.parts)
    assert found.equipment == money(hand.equipment)
    assert found.asked.at_margin == money(hand.at_margin)
    assert found.material == money(sum(hand.parts[part] for part in MATERIAL))
    fee = 0.029 * found.asked.price
    assert found.full == money(sum(hand.parts.values()) + fee)
    assert found.with_equipment == money(sum(hand.parts.values()) + fee + hand.equipment)


def test_prices_of_the_five_by_hand():
    prices = {name: by_hand(**order).at_margin for name, order in BY_HAND.items()}
    rushed = prices["One shirt tomorrow"] * 1.25
    assert rushed < 40  # so that the minimum order holds
    prices["One shirt tomorrow"] = 40
    assert {name: job.asked.price for name, job in larkspur().items()} == money(prices)
    assert larkspur()["One shirt tomorrow"].asked.surcharged == money(rushed)
    tees = larkspur()["Two hundred school tees"]
    hand = by_hand(**BY_HAND["Two hundred school tees"])
    full = sum(hand.parts.values()) + 0.029 * 1900
    left = tees.margins(1900)
    assert 1900 * left.full == money(1900 - full)
    assert 1900 * left.with_equipment == money(1900 - full - hand.equipment)


def test_what_the_school_tees_take():
    use = larkspur()["Two hundred school tees"].use
    covered = 200 * PRINTED * 10.5 * 12.5
    assert (use.white, use.colour) == pytest.approx(
        (covered * CREST[0] / 1000, covered * CREST[1] / 1000), rel=1e-9
    )
    assert use.powder == pytest.approx(covered * CREST[2] / (1 - 0.10) / 1000, rel=1e-9)
    assert use.strip == exactly(1275 * 0.0254)
    assert use.film == exactly(PRINTED * 1275 * 0.0254)
    minutes = 8 * AGAIN + 200 * (PRINTED * (10.5 * 12.5 / 144 * 0.7 + 0.25) + PRESSED)
    assert use.hours == exactly(minutes / 60)


def test_rush_surcharges_of_a_month_by_hand(bare):
    # 100 pieces at 10 a month
    page = answer(bare({"selling.rush": {"share": "6 %", "extra": "50 %"}}))
    assert rush_surcharges(page) == exactly(0.06 * 0.50 * 1000)
    assert rush_surcharges(shipped_answer("shortest")) is None


# ---------------------------------------------------------------- one part at a time
PLAIN = {"name": "Ours", "lines": [{"product": "Tee", "pieces": 4}]}


def of_bare(bare, changes=None, order=None, **parts) -> Job:
    """One order in the bare shop."""
    scenario = bare({"orders": [PLAIN | (order or {})]} | (changes or {}) | parts)
    return costed(bench_of(scenario), scenario.orders[0])


def bench_of(scenario: Scenario, drawn=None) -> Bench:
    own = plan_of(scenario, drawn=drawn)
    return bench(own.case, own)


def lines(*entries):
    return {"lines": [{"product": "Tee", "pieces": 4} | entry for entry in entries]}


def test_an_order_like_those_of_the_plan_costs_what_its_pieces_cost():
    # every order of this scenario has a new design
    first = shipped("shortest").products[0]
    usual = {"product": first.name, "pieces": int(first.pieces_per_order.likely)}
    scenario = load(
        ROOT / "scenarios" / "shortest.toml", changes={"orders": [PLAIN | {"lines": [usual]}]}
    )
    case = Case(scenario)
    own = plan(case, choices(scenario)[0])
    (one, *_) = print_costs(case, own)
    found = costed(bench(case, own), scenario.orders[0])
    parts = dict(found.costs)
    parts["payment fee"] += found.fee_share * one.price * found.pieces
    gathered = parts | {
        "artwork and set-up": parts["artwork"] + parts["set-up"],
        "pressing": parts["pressing"] + parts["waiting for a cold peel"],
    }
    for name, part in one.parts.items():
        assert gathered[name] == money(found.pieces * part), name
    assert found.equipment == money(found.pieces * (one.with_equipment - one.full))


def test_parts_add_up_and_a_price_put_back_leaves_its_margin():
    for found in larkspur().values():
        assert tuple(found.parts) == PARTS
        assert found.full == exactly(sum(found.parts.values()))
        assert found.margins(found.asked.at_margin).with_equipment == exactly(0.45)
        assert found.margins(found.asked.at_margin).full > 0.45


def test_set_up_packing_and_fee_come_once_and_artwork_once_a_design(bare):
    changes = {
        "labour.order_setup": "6 min/order",
        "labour.artwork": "30 min/design",
        "selling.packing": "2 USD/order",
        "selling.payment_fee_each": "0.25 USD/order",
        "spoilage.redone": "10 %",
    }
    once = of_bare(bare, changes, lines({"new_designs": 2}, {"pieces": 7, "new_designs": 3}))
    assert once.costs["set-up"] == exactly(1.1 * 0.1 * 20)
    assert once.costs["packing"] == exactly(1.1 * 2)
    assert once.costs["payment fee"] == exactly(0.25)
    assert once.costs["artwork"] == exactly(5 * 0.5 * 20)
    assert once.pieces == 11


def test_all_lines_lie_on_one_strip(bare):
    # one print of half a metre a line: side by side on a metre of film
    film = {"film.roll_price": 100}
    both = of_bare(bare, film, lines({"pieces": 1}, {"pieces": 1, "filled": "50 %"}))
    alone = of_bare(bare, film, lines({"pieces": 1}))
    assert both.use.strip == alone.use.strip == exactly(0.5)
    assert both.costs["film"] == exactly(alone.costs["film"]) == exactly(0.5)


def test_a_strip_is_shared_by_area_between_lines_that_are_spoiled_and_that_are_not(bare):
    # 50 x 50 cm pressed and 50 x 25 cm loose; half of the pressed garments are spoiled
    order = lines(
        {"pieces": 2},
        {"pieces": 2, "product": None, "prints": ["50 cm x 25 cm"], "pressed": False},
    )
    del order["lines"][1]["product"]
    found = of_bare(bare, {"film.roll_price": 100, "spoilage.garments": "50 %"}, order)
    assert found.use.strip == exactly(0.75)
    assert found.use.film == exactly(0.75 * (2 / 3 * 2 + 1 / 3))


def test_loose_sheets_take_ink_by_what_is_filled_and_film_by_the_whole(bare):
    changes = {"ink.price": "100 USD/L", "powder.price": "20 USD/kg", "film.roll_price": 100,
               "labour.pressing": "3 min/print", "labour.cutting": "1.5 min/print"}  # fmt: skip
    whole, filled = (
        of_bare(bare, changes, lines({"pressed": False, "filled": f"{share} %"}))
        for share in (100, 60)
    )
    assert whole.costs["ink"] == exactly(4 * 0.25 * 0.030 * 100)
    assert filled.costs["ink"] == exactly(0.6 * whole.costs["ink"])
    assert filled.costs["powder"] == exactly(0.6 * whole.costs["powder"]) != 0
    assert filled.costs["film"] == exactly(whole.costs["film"]) != 0
    assert filled.costs["pressing"] == 0
    assert filled.costs["cutting"] == exactly(4 * 0.025 * 20)


def test_coverage_scales_ink_and_powder(bare):
    changes = {"ink.price": "100 USD/L", "powder.price": "20 USD/kg", f"{TEE}.coverage": "50 %"}
    of_product, own = of_bare(bare, changes), of_bare(bare, changes, lines({"coverage": "80 %"}))
    for part in ("ink", "powder"):
        assert own.costs[part] == exactly(1.6 * of_product.costs[part]) != 0


def test_waiting_for_a_cold_peel_is_apart_and_in_the_full_cost(bare):
    changes = {"labour.pressing": "3 min/print", "labour.peel_wait": "1.5 min/print",
               "spoilage.garments": "20 %"}  # fmt: skip
    order = lines({"prints": ["20 cm x 20 cm", "10 cm x 10 cm"]})
    found = of_bare(bare, changes, order)
    assert found.costs["pressing"] == exactly(8 / 0.8 * 0.05 * 20)
    assert found.costs["waiting for a cold peel"] == exactly(8 / 0.8 * 0.025 * 20)
    assert found.full == exactly(8 / 0.8 * 0.075 * 20)
    loose = of_bare(bare, changes, lines({"pressed": False}))
    assert loose.costs["waiting for a cold peel"] == 0


def test_a_customers_own_garment_costs_only_what_is_spoiled_or_redone(bare):
    changes = {"spoilage.garments": "20 %", "spoilage.redone": "10 %"}
    own, bought = (
        of_bare(bare, changes, lines({"garment": 8, "garment_supplied": supplied}))
        for supplied in (True, False)
    )
    assert bought.costs["garment"] == exactly(4 * 1.1 / 0.8 * 8)
    assert own.costs["garment"] == exactly(4 * (1.1 / 0.8 - 1) * 8)


def test_a_design_has_its_own_rates_in_place_of_the_products_coverage(bare, tmp_path):
    header = "design,area [m^2],copies,white [mL],colour [mL],before powder [g],after powder [g]"
    rows = ["Light,1,1,10,5,50,55", "Dark,2,1,60,30,50,90", "Dark,1,1,60,0,50,60"]
    (tmp_path / "bare.csv").write_text("\n".join([header, *rows]), encoding="utf-8")
    (tmp_path / "bare.toml").write_text(BARE, encoding="utf-8")
    changes = {"ink.price": "100 USD/L", "powder.price": "20 USD/kg", "powder.lost": "20 %",
               f"{TEE}.coverage": "50 %"}  # fmt: skip

    def order(**line):
        own = [{"name": "Ours", "lines": [{"product": "Tee", "pieces": 4} | line]}]
        scenario = load(tmp_path / "bare.toml", changes=changes | {"orders": own})
        return costed(bench_of(scenario), scenario.orders[0])

    dark = order(design="Dark")  # 120 and 30 mL, 50 g on three square metres
    assert dark.costs["ink"] == exactly(150 / 3 / 1000 * 100)
    assert dark.costs["powder"] == exactly(50 / 3 / 1000 / 0.8 * 20)
    assert dark.lines[0].own.prints == 2
    assert order(design="Light").lines[0].own.prints == 1
    assert order(design="Dark", coverage="70 %").costs["ink"] == exactly(0.7 * dark.costs["ink"])
    assert order().costs["ink"] == exactly(0.5 * 165 / 4 / 1000 * 100)  # all three, half as wet
    moved = order(design="Dark", pieces=2)
    assert moved.costs["ink"] == exactly(dark.costs["ink"] / 2)


def test_the_equipments_share_goes_by_area(bare):
    # 1,200 over twelve months at nothing, 25 m² a month
    assert of_bare(bare).equipment == money(100 * 4 * 0.25 / 25)
    assert of_bare(bare, {"overheads": [{"name": "Room", "cost": "50 USD/month"}]}).costs[
        "upkeep and overheads"
    ] == money(50 * 4 * 0.25 / 25)


def test_free_hours_do_not_make_an_order_cheaper(bare):
    changes = {"labour.pressing": "3 min/print"}
    paid, free = (of_bare(bare, changes | {"shop.unpaid_hours": f"{h} hour/week"}) for h in (0, 40))
    assert paid.full == exactly(free.full)
    assert paid.costs["pressing"] == exactly(4 * 0.05 * 20)


# ---------------------------------------------------------------- what to ask
PRICED = {f"{TEE}.garment": 3, f"{MACHINE}.price": 1e-9, "selling.margin": "25 %"}  # costs 12


def test_a_price_at_the_margin(bare):
    assert of_bare(bare, PRICED).asked.price == exactly(12 / 0.75)
    with_fee = of_bare(bare, PRICED | {"selling.payment_fee": "5 %"})
    assert with_fee.asked.price == exactly(12 / 0.70)
    assert with_fee.parts["payment fee"] == exactly(0.05 * 12 / 0.70)
    assert with_fee.full == exactly(12 + 0.05 * 12 / 0.70)


def test_no_price_leaves_more_than_the_whole():
    assert price_at_margin(cost=10, fee_share=0.5, margin=0.4999) == exactly(10 / 0.0001)
    for fee, margin in ((0.5, 0.5), (0.1, 0.9), (0.9, 0.9)):
        assert price_at_margin(cost=10, fee_share=fee, margin=margin) is None


def test_without_a_price_costs_are_shown_at_the_offer(bare):
    changes = PRICED | {"selling.margin": "90 %", "selling.payment_fee": "10 %"}
    found = of_bare(bare, changes, {"price": 20})
    assert found.asked.price is None
    assert found.asked.set_by == "margin"
    assert found.parts["payment fee"] == exactly(2)
    assert found.margins(20).full == exactly((20 - 12 - 2) / 20)
    assert of_bare(bare, changes).parts["payment fee"] == 0


def test_margin_at_an_offer_may_be_a_loss_and_none_at_nothing(bare):
    found = of_bare(bare, PRICED, {"price": 10})
    assert found.offered == 10
    assert found.margins(10).full == exactly(-0.2)
    assert found.margins(0).full is None


@pytest.mark.parametrize(("least", "price", "by"), [
    (15.99, 16, "margin"), (16, 16, "margin"), (16.01, 16.01, "minimum order"),
])  # fmt: skip
def test_the_minimum_order_acts_from_the_price_on(bare, least, price, by):
    asked = of_bare(bare, PRICED | {"selling.minimum_order": least}).asked
    assert asked.price == exactly(price)
    assert asked.set_by == by


def test_a_price_of_just_the_minimum_order_is_set_by_the_margin():
    asked = Asked(margin=0.25, at_margin=16.0, rush=0.0, minimum=16.0)
    assert (asked.price, asked.set_by) == (16, "margin")


def test_the_surcharge_comes_before_the_minimum_order(bare):
    rush = PRICED | {"selling.rush": {"share": "5 %", "extra": "50 %"}}
    calm, hurried = (of_bare(bare, rush, {"rush": hurry}).asked for hurry in (False, True))
    assert calm.price == exactly(16)
    assert (hurried.price, hurried.set_by) == (exactly(24), "rush surcharge")
    least = of_bare(bare, rush | {"selling.minimum_order": 23}, {"rush": True}).asked
    assert least.price == exactly(24)  # not 23 × 1.5
    unstated = of_bare(bare, PRICED, {"rush": True}).asked
    assert (unstated.price, unstated.rush) == (exactly(16), None)


# ---------------------------------------------------------------- values and limits
def test_moved_values_act_on_orders(bare):
    scenario = bare(
        PRICED
        | {"selling.minimum_order": 1, "ink.price": "100 USD/L"}
        | {"orders": [PLAIN | {"price": 50}]}
    )
    plain = costed(bench_of(scenario), scenario.orders[0])

    def moved(**drawn):
        return costed(bench_of(scenario, drawn), scenario.orders[0])

    assert moved(**{'orders."Ours".lines[0].pieces': 8}).pieces == 8
    assert moved(**{'orders."Ours".price': 60}).offered == 60
    assert moved(**{"selling.margin": 0.5}).asked.price > plain.asked.price
    assert moved(**{"test_prints.white": 0.040}).use.white == exactly(2 * plain.use.white)
    assert moved(**{'products."Tee".garment': 4}).costs["garment"] == exactly(16)


def test_many_pieces_and_many_sizes_are_costed(bare):
    sizes = [f"{10 + n} cm x {20 + n} cm" for n in range(24)]
    found = of_bare(bare, {"film.may_turn": True}, lines({"pieces": 1_000_000, "prints": sizes}))
    assert found.pieces == 1_000_000
    assert found.use.strip > 0


def test_a_set_that_only_presses_costs_no_job(bare):
    own = plan_of(bare())
    presses = own.choice.equipment.model_copy(update={"print_speed": None})
    only = dataclasses.replace(own, choice=dataclasses.replace(own.choice, equipment=presses))
    with pytest.raises(JobError, match='"Set": a job is costed on a set that prints'):
        bench(own.case, only)


def test_a_lines_own_keys_stand_before_its_products(bare):
    scenario = bare(
        {
            "products": [product("Tee", garment=5, coverage="50 %", garment_supplied=True)],
            "orders": [PLAIN | lines({"garment": 7, "garment_supplied": False, "filled": "40 %"})],
        }
    )
    (line,) = costed(bench_of(scenario), scenario.orders[0]).lines
    made = line.product
    assert (made.garment.likely, made.garment_supplied) == (7, False)
    assert (made.filled.likely, made.coverage.likely) == (0.4, 0.5)
    assert Values().whole(made.pieces_per_order) == 4
