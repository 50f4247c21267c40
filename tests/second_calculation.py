"""A second calculation of the plan, loop by loop, as one would check it on paper.

It shares no code with the program: standard library only, floats, one function for each step.
Inside: metres, square metres, litres, kilograms, hours, kilowatts, money, months (1 to H, 0 is
signing). Money in is positive. Every estimate stands at `likely`, the cost of a repair at its mean.

    python tests/second_calculation.py scenarios/shortest.toml
"""

import calendar as names_of
import csv
import itertools
import json
import math
import sys
import tomllib
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

Table = dict[str, Any]
Flows = list[float]
Ledger = dict[str, Flows]
Pair = tuple[Ledger, Ledger]
Month = tuple[dict[str, float], Table]
Planned = tuple[Ledger, list[Table]]

# The readings taken where the rules leave a choice:
#  1 Own film is turned only if `may_turn` says so, the supplier's sheet always may be; transfers
#    are priced by picture area unless `buy_in_by` says otherwise.
#  2 With a failure law, down days are days a failure (3 covered, 6 not); without, days a year.
#  3 Of what the machine cannot serve (down or full), min(1, pieces without / pieces asked) is
#    bought in a hurry, the rest lost; hurry orders by printed area. People and press are stations.
#  4 Run ends, dryer, warm-up: open days less down days. Long stop: a flush a closed week of the
#    year, spread over open months, and one in the first month of each closed stretch.
#  5 Redone work repeats set-up and packing only. Unpaid hours: open weeks / 12 in every month.
#  6 Wear parts: area beyond a life counts for the next part; by age, area and age start anew.
#  7 Warranty is deducted in equal months of its term from runs_from + 1.
#  8 Market price at a lease's end: resale value of the first goods. Taxed payments: no sales tax.
#  9 Equivalent monthly cost: month 0 without stock, replacements, less resale; before tax.
# 10 Own NPV and cash: with the financing. Total paid: month 0 and financing, net of deposit.
# 11 Present cost: all but running lines and working capital; tax less that on running lines.
# 12 Debt service: no balloon, no purchase price; an advance belongs to the month it pays for.
# 13 Paybacks, most money in and lowest cash leave out what only the end brings.
# 14 Tax on resale: tax of month H with the gain less tax without it.
# 15 Ink thrown away: a bottle uses up pack / keeps a month at least, losses counted as use.
# 16 Ordinary buying keeps its orders a week whatever the press and the people can handle; so a
#    set without a printer pays for the same transfers what the shop pays without it.
# 17 A set without a printer: capacity and use of stations are of the work that can be bought in.
# 18 People's use and overtime count care. A closed month shows no use; its flush is no overtime.
# 19 Margin lost to days down: wear parts are among the running lines, repairs are not.

# ---------------------------------------------------------------- quantities (section 1)
UNITS = {
    "in": 0.0254, "ft": 0.3048, "cm": 0.01, "mm": 0.001, "m": 1.0,
    "in^2": 0.0254**2, "ft^2": 0.3048**2, "cm^2": 1e-4, "m^2": 1.0,
    "L": 1.0, "mL": 0.001, "kg": 1.0, "g": 0.001,
    "hour": 1.0, "min": 1 / 60, "s": 1 / 3600, "kW": 1.0, "kWh": 1.0, "%": 0.01,
}  # fmt: skip
UNITS |= dict.fromkeys(("day", "week", "month", "year", "piece", "order", "run", "roll"), 1.0)
UNITS |= dict.fromkeys(("print", "design", "USD", "EUR"), 1.0)
DAYS_IN_MONTH = 365 / 12


def number(value: Any, *, mean: bool = False) -> float:
    """A plain number in the units above; an estimate gives its likely value or PERT mean."""
    if isinstance(value, dict):
        low, likely, high = (number(value.get(key, value["likely"]))
                             for key in ("low", "likely", "high"))  # fmt: skip
        return (low + 4 * likely + high) / 6 if mean else likely
    if not isinstance(value, str):
        return float(value)
    amount, unit = value.split(maxsplit=1)
    over, *under = unit.split("/")
    return float(amount) * UNITS[over] / math.prod(UNITS[part] for part in under)


def months(value: str) -> float:
    amount, unit = value.split()
    return float(amount) * {"month": 1, "months": 1, "year": 12, "years": 12}[unit]


def calendar(text: str) -> int:
    """Months since year 0 of "2027-03"."""
    return int(text[:4]) * 12 + int(text[5:7]) - 1


def size(text: str) -> list[float]:
    return [number(side) for side in text.split(" x ")]


def get(table: Table, key: str, default: Any) -> float:
    return number(table.get(key, default))


def filled(table: Table, defaults: Table) -> Table:
    return {key: get(table, key, default) for key, default in defaults.items()}


# ---------------------------------------------------------------- reading, defaults (section 10)
DEFAULTS: dict[str, Table] = {
    "shop": {"wage": None, "electricity": None, "cash_at_start": None, "open_days": 5,
             "open_hours": 8, "open_weeks": 48, "staff_hours": 40, "efficiency": "60 %",
             "on_costs": "12 %", "unpaid_hours": 0, "hours_already_paid": 0, "owner_draw": 0,
             "customers_pay_after": 14, "suppliers_paid_after": 0},
    "today": {"buy_in_price": 0, "sheet_width": "22 in", "sheet_gap": "0.25 in", "delivery": 0,
              "delivery_free_from": math.inf, "orders": 1, "hurry_extra": "30 %"},
    "growth": {"volume": 0, "prices": 0, "costs": 0, "wages": 0, "buy_in": 0},
    "ramp": {"start_share": 0, "spoilage_at_start": "15 %"},
    "spoilage": {"transfers": "5 %", "garments": "1 %", "redone": "1 %"},
    "selling": {"payment_fee": "3 %", "payment_fee_each": 0, "packing": 0},
    "ink": {"first_fill": "1.5 L", "daily_loss": "12 mL", "closed_day_loss": "4 mL",
            "pack": "1 L", "colours": 4},
    "labour": {"artwork": "15 min", "new_designs": "100 %", "order_setup": "10 min",
               "tending": "1 min/ft^2", "cutting": "0.5 min", "pressing": "1.25 min",
               "peel_wait": 0, "daily": "30 min", "weekly": "45 min"},
    "stock": {"opening": 0},
    "lender": {"counts": "50 %"},
}  # fmt: skip


def read_scenario(path: str | Path) -> Table:
    """All of a file in one dictionary, plain keys of the tables above beside the derived ones."""
    path = Path(path)
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    s: Table = {"raw": raw, "start": calendar(raw["start"]), "has_today": "today" in raw}
    for name, defaults in DEFAULTS.items():
        s |= filled(raw.get(name, {}), defaults)
    s["horizon"] = int(months(raw.get("horizon", "60 months")))
    s["runs_from"] = math.ceil(months(raw.get("runs_from", "1 month")))
    s["hurdle"] = get(raw, "hurdle_rate", "15 %/year")
    s["monthly"] = (1 + s["hurdle"]) ** (1 / 12) - 1
    s["ramp_months"] = months(raw.get("ramp", {}).get("months", "9 months"))
    overheads = raw.get("overheads", [])
    s["overheads"] = sum(number(o["cost"]) for o in overheads if not o.get("already_paid"))
    s["overheads_paid"] = sum(number(o["cost"]) for o in overheads if o.get("already_paid"))
    today, tax = raw.get("today", {}), raw.get("tax", {})
    breaks = today.get("price_breaks", [])
    s["tax"] = get(tax, "rate", 0)
    s["breaks"] = [(number(b["from"]), number(b["price"])) for b in breaks]
    s["by_sheet"] = today.get("buy_in_by", "picture") == "sheet"
    s["tax_end"] = list(names_of.month_name).index(tax.get("year_ends", "December")) - 1
    s["carried"] = tax.get("losses") == "carried forward"
    if tax.get("depreciation", "straight line") != "straight line":
        raise NotImplementedError("depreciation other than straight line")
    read_shop(s, raw["shop"])
    read_ink(s, raw["ink"], raw["powder"], path.parent / raw["test_prints"]["file"])
    s["products"] = [read_product(s, p) for p in raw["products"]]
    s["planned_area"] = sum(p["planned"] * p["area"] for p in s["products"])
    s["equipment"] = [read_equipment(s, e) for e in raw["equipment"]]
    return s


def read_shop(s: Table, shop: Table) -> None:
    s["weeks"] = s["open_weeks"] / 12
    s["days"] = s["open_days"] * s["weeks"]
    s["wage"] *= 1 + s["on_costs"]
    s["free_hours"] = (s["unpaid_hours"] + s["hours_already_paid"]) * s["weeks"]
    s["season"] = shop.get("season", [1] * 12)
    overtime = shop.get("overtime", {})
    s["overtime"], s["overtime_extra"] = get(overtime, "hours", 0), get(overtime, "extra", "50 %")
    s["closed"] = [calendar(month) for month in shop.get("closed", [])]
    s["shop_flow"] = number(shop["cash_flow_before"]) if "cash_flow_before" in shop else None
    debts = shop.get("debts", [])
    s["debts"] = [(number(d["payment"]), calendar(d["ends"]) - s["start"] + 1) for d in debts]


def read_ink(s: Table, ink: Table, powder: Table, test_prints: Path) -> None:
    """Rates per box area by the ratio of sums (section 2), prices, losses."""
    area, rate = 0.0, {"white": 0.0, "colour": 0.0, "powder": 0.0}
    with open(test_prints, newline="", encoding="utf-8") as sheet:
        for row in csv.DictReader(sheet):
            got = {}
            for head, text in row.items():
                if head in ("design", "artwork"):
                    continue
                name, _, unit = head.partition(" [")
                got[name] = float(text) * UNITS.get(unit.rstrip("]"), 1.0)
            area += got["width"] * got["height"] * got["copies"]
            rate["white"] += got["white"]
            rate["colour"] += got["colour"]
            rate["powder"] += got["after powder"] - got["before powder"]
    s["rate"] = rate = {key: amount / area for key, amount in rate.items()}
    s["keeps"] = months(ink.get("keeps", "6 months"))
    stop = {"after": "5 day", "ink": "80 mL", "time": "60 min"}
    s["stop"] = filled(ink.get("long_stop", {}), stop)
    s["white_price"], s["colour_price"] = (
        number(ink.get(key, ink.get("price"))) for key in ("white_price", "colour_price")
    )
    s["white_share"] = rate["white"] / (rate["white"] + rate["colour"])
    s["ink_area"] = rate["white"] * s["white_price"] + rate["colour"] * s["colour_price"]
    s["liquid"] = s["ink_area"] / (rate["white"] + rate["colour"])
    s["powder_weight"] = rate["powder"] / (1 - get(powder, "lost", "15 %"))
    s["powder_price"] = number(powder["price"])
    s["powder_area"] = s["powder_weight"] * s["powder_price"]


def read_product(s: Table, p: Table) -> Table:
    if "buy_in" in p:
        raise NotImplementedError("buy-in price a piece")
    prints, pressed = [size(text) for text in p["prints"]], p.get("pressed", True)
    result = filled(p, {
        "price": None, "garment": None, "planned": None, "today": 0, "pieces_per_order": 6,
        "coverage": "100 %", "filled": "100 %", "needs_machine": 0.0 if s["has_today"] else 1.0,
    })  # fmt: skip
    tries = (1 + s["redone"]) / (1 - (s["garments"] if pressed else 0))
    return result | {
        "name": p["name"], "prints": prints, "pressed": pressed, "tries": tries,
        "area": sum(w * h for w, h in prints), "season": p.get("season", s["season"]),
        "wet": result["coverage"] * result["filled"],
        "garments": tries - 1 if p.get("garment_supplied") else tries,
    }  # fmt: skip


def read_equipment(s: Table, e: Table) -> Table:
    worth = {"after": "36 months", "share": "20 %"}
    rows = [(row, row.get("worth", worth)) for row in e.get("items") or [e]]
    items = [{"price": number(row["price"]) * get(row, "quantity", 1),
              "life": months(row.get("life", "5 years")), "after": months(worth["after"]),
              "share": number(worth["share"])} for row, worth in rows]  # fmt: skip
    price = sum(item["price"] for item in items)
    prints, speed = "print_speed" in e, e.get("print_speed", math.inf)
    printer, dryer = get(e, "printer_power", 0), number(e.get("dryer_power", e.get("power", 0)))
    result = {"name": e["name"], "items": items, "price": price, "printer": printer,
              "prints": prints, "dryer": dryer,
              "press": get(e, "press_power", 1.8) * get(e, "press_duty", "50 %"),
              "insurance": get(e, "insurance", "2 %/year") * price / 12}  # fmt: skip
    result |= filled(e, {
        "machines": 1, "print_speed": speed, "dryer_speed": speed, "dryer_on": 3,
        "dryer_warm_up": "30 min", "idle_power": 0.03 * (printer + dryer), "presses": 1,
        "supplies": 0.04 * price / 12, "sales_tax": 0,
    })  # fmt: skip
    result["age_at_start"] = months(e.get("age", "0 months"))
    terms = e.get("warranty", [{"name": "Included", "term": "12 months"}])
    result["warranty"] = [{"name": w["name"], "term": months(w["term"])}
                          | filled(w, {"price": 0, "deductible": 0}) for w in terms]  # fmt: skip
    read_upkeep(e, price, result)
    read_film(s, s["raw"]["film"] | e.get("film", {}), result)
    rows = e.get("start_up", [{"cost": 0.15 * price}])
    hours = [number(r["hours"]) for r in rows if "hours" in r] or [24.0]
    practice = [number(r["practice"]) for r in rows if "practice" in r] or [60 * UNITS["ft^2"]]
    plain = s["ink_area"] + s["powder_area"] + result["roll_price"] / result["roll_area"]
    plain = plain if prints else 0.0
    result["first_fill"] = s["first_fill"] * result["machines"] if prints else 0.0
    result["start_up"] = sum(get(r, "cost", 0) for r in rows)
    result["start_up"] += sum(hours) * s["wage"] + sum(practice) * plain
    return result


def read_upkeep(e: Table, price: float, result: Table) -> None:
    """Wear parts, the failure law (or a share of price a year), down days.

    Listed parts are of one machine: n machines change n of them after n times the area.
    """
    parts = e.get("wear_parts", [{"price": 0.08 * price, "life_at_most": "24 months"}])
    n = result["machines"] if "wear_parts" in e else 1
    result["parts"] = [{
        "cost": number(part["price"]) * get(part, "count", 1) * n,
        "area": get(part, "life", math.inf) * n, "covered": part.get("covered", False),
        "age": months(part["life_at_most"]) if "life_at_most" in part else math.inf,
    } for part in parts]  # fmt: skip
    repairs = e.get("repairs", {})
    result["law"], result["repair_share"] = None, 0.06 * price / 12
    if "in_first_year" in repairs:
        result["law"] = number(repairs["in_first_year"]), get(repairs, "wear", 1)
        result["repair_cost"] = number(repairs["cost"], mean=True)
    result |= filled(repairs, {"down_days_covered": 3, "down_days_uncovered": 6})


def read_film(s: Table, film: Table, result: Table) -> None:
    """The roll, and the length of film and of supplier's sheet a piece of each product takes."""
    width, length = size(film["roll"])
    result |= {"roll_length": length, "roll_area": width * length}
    result |= filled(film, {"roll_price": None, "roll_ends": "3 m", "run_ends": "48 in", "runs": 1})
    usable = width - 2 * get(film, "margin", "0.5 in")
    gap, turn = get(film, "gap", "0.3 in"), film.get("may_turn", False)
    offer = {"usable": s["sheet_width"], "gap": s["sheet_gap"]}
    result["film"], result["sheet"] = [], []
    for p in s["products"]:
        result["film"].append(strip_length(p, usable=usable, gap=gap, turn=turn))
        sheet = strip_length(p, **offer, turn=True) if s["has_today"] else 0.0
        result["sheet"].append(sheet)


# ---------------------------------------------------------------- layout (section 2)
def strip_length(product: Table, *, usable: float, gap: float, turn: bool) -> float:
    """Length a piece of an order on one strip: first fit, tallest first, every way round."""
    best, either = math.inf, (False, True) if turn else (False,)
    for ways in itertools.product(either, repeat=len(product["prints"])):
        pieces = []
        for turned, (width, height) in zip(ways, product["prints"], strict=True):
            across, along = (height, width) if turned else (width, height)
            pieces += [(along, across)] * round(product["pieces_per_order"])
        pieces.sort(reverse=True)
        best = min(best, shelves_length(pieces, usable=usable, gap=gap))
    if best == math.inf:
        raise ValueError(f"{product['name']}: wider than the film or sheet")
    return best / float(product["pieces_per_order"])


def shelves_length(pieces: list[tuple[float, float]], *, usable: float, gap: float) -> float:
    room: Flows = []
    length = 0.0
    for along, across in pieces:
        if across > usable + 1e-9:
            return math.inf
        for shelf, left in enumerate(room):
            if across <= left + 1e-9:
                room[shelf] -= across + gap
                break
        else:
            room.append(usable - across - gap)
            length += along + gap
    return length


# ---------------------------------------------------------------- a month (section 3)
RUNNING = [
    "sales", "lost_sales", "garments", "ink", "film", "powder", "bought_in", "delivery",
    "labour", "overtime", "energy", "payment_fees", "packing", "supplies", "insurance",
    "wear_parts", "repairs", "overheads",
]  # fmt: skip
CAPITAL = [
    "equipment", "sales_tax", "start_up", "warranty", "first_fill", "stock", "replacements",
]  # fmt: skip
FINANCING = [
    "debt_drawn", "fees", "principal", "interest", "lease_payments", "lease_purchase", "deposit",
]  # fmt: skip
WORKING = ["receivables", "payables"]
END = ["working_capital_returned", "resale", "tax_on_resale"]
LEDGER = [*RUNNING, *CAPITAL, *FINANCING, *WORKING, "tax", *END]
BEFORE_END = [name for name in LEDGER if name not in END]
PLAN = {"k": 1.0, "added": 1.0, "price": 1.0}  # volume, share of added work, price factor
TODAY = PLAN | {"added": 0.0}
STEADY = 0  # in place of a month: ramp, season and growth 1, month-1 prices


def grown(s: Table, t: int, name: str) -> float:
    return 1.0 if t == STEADY else float((1 + s[name]) ** ((t - 1) / 12))


def is_closed(s: Table, t: int) -> bool:
    return t != STEADY and s["start"] + t - 1 in s["closed"]


def ramp(s: Table, t: int) -> float:
    """Progress of the ramp in months, 0 to 1."""
    return 1.0 if t == STEADY or not s["ramp_months"] else min(1.0, (t - 1) / s["ramp_months"])


def pieces_wanted(s: Table, case: Table, t: int, machine: bool) -> Flows:
    """Pieces of each product in month t; without the machine, less what cannot be bought in."""
    share, rows = s["start_share"] + (1 - s["start_share"]) * ramp(s, t), []
    for p in s["products"]:
        season, added = p["season"], share * case["added"] * (p["planned"] - p["today"])
        added *= 1 if machine else 1 - p["needs_machine"]
        pieces = case["k"] * (p["today"] + added) * s["weeks"] * grown(s, t, "volume")
        if t != STEADY:
            pieces *= season[(s["start"] + t - 1) % 12] / (sum(season) / 12)
        rows.append(0.0 if is_closed(s, t) else pieces)
    return rows


def hours_of(s: Table, rows: Iterable[tuple[Table, float, float, float]]) -> dict[str, float]:
    """Hours by kind for rows of product, pieces sold, transfers printed, transfers bought."""
    kinds = dict.fromkeys(("artwork", "set_up", "tending", "cutting", "pressing", "peel_wait"), 0.0)
    for p, sold, printed, bought in rows:
        orders, count = sold / p["pieces_per_order"], len(p["prints"])
        pressed = sold * p["tries"] * count if p["pressed"] else 0.0
        kinds["artwork"] += orders * s["new_designs"] * s["artwork"]
        kinds["set_up"] += orders * (1 + s["redone"]) * s["order_setup"]
        kinds["tending"] += printed * p["area"] * s["tending"]
        kinds["cutting"] += (printed + bought) * count * s["cutting"]
        kinds["pressing"] += pressed * s["pressing"]
        kinds["peel_wait"] += pressed * s["peel_wait"]
    return kinds


def care(s: Table, e: Table, t: int) -> tuple[float, float, float]:
    """Open days, hours of care, litres lost, in a month in which the machines stand ready."""
    open_days, weeks = s["days"], s["weeks"]
    flushes = max(0.0, 52 - s["open_weeks"]) / 12 if s["stop"]["after"] <= 7 else 0.0
    if is_closed(s, t):
        open_days, weeks, flushes = 0.0, 0.0, 0.0 if is_closed(s, t - 1) else 1.0
    hours = open_days * s["daily"] + weeks * s["weekly"] + flushes * s["stop"]["time"]
    lost = open_days * s["daily_loss"] + (DAYS_IN_MONTH - open_days) * s["closed_day_loss"]
    lost += flushes * s["stop"]["ink"]
    return open_days, hours * e["machines"], lost * e["machines"]


def dot(pieces: Flows, products: list[Table], *keys: str) -> float:
    rows = zip(pieces, products, strict=True)
    return math.fsum(n * math.prod(p[k] for k in keys) for n, p in rows)


def made_for(s: Table, pieces: Flows, t: int) -> Flows:
    """Transfers printed for good pieces sold: redone work, spoiled garments, rejects."""
    q = s["transfers"]
    q += max(0.0, s["spoilage_at_start"] - q) * (1 - ramp(s, t))
    return [n * p["tries"] / (1 - q) for n, p in zip(pieces, s["products"], strict=True)]


def hours_available(s: Table, e: Table, *, overtime: float) -> dict[str, float]:
    """Hours a month that each station can work, with overtime hours a week."""
    one = (s["open_hours"] * s["days"] + overtime * s["weeks"]) * s["efficiency"]
    people = (s["staff_hours"] + overtime) * s["weeks"] * s["efficiency"]
    both = one * e["machines"]
    return {"printer": both, "dryer": both, "press": one, "people": people}


def hours_taken(
    s: Table, e: Table, *, made: Flows, bought: Flows, t: int, care_hours: float = 0.0
) -> dict[str, float]:
    """Hours each station works for pieces made here and pieces with bought-in transfers."""
    products, printed = s["products"], made_for(s, made, t)
    sold = [n + m for n, m in zip(made, bought, strict=True)]
    transfers = [n * p["tries"] for n, p in zip(bought, products, strict=True)]
    kinds = hours_of(s, zip(products, sold, printed, transfers, strict=True))
    area = dot(printed, products, "area")
    return {"printer": area / e["print_speed"], "dryer": area / e["dryer_speed"],
            "press": kinds["pressing"] / e["presses"],
            "people": sum(kinds.values()) + care_hours}  # fmt: skip


def share_that_fits(room: dict[str, float], hours: dict[str, float]) -> float:
    """Room over hours at the fullest station, 0 to 1; one without work does not limit."""
    return max(0.0, min([1.0, *(room[name] / x for name, x in hours.items() if x > 0)]))


def share_down(
    s: Table, e: Table, wanted: Flows, room: dict[str, float], *,
    t: int, days: float, open_days: float,
) -> float:  # fmt: skip
    """Share of a month's area that falls out: the other machines take over as they have room."""
    n = e["machines"]
    still = min(1.0, n * days / open_days) if open_days else 0.0
    if n == 1:
        return float(still)
    asked = hours_taken(s, e, made=wanted, bought=[0.0] * len(wanted), t=t)
    use = max(asked[name] / room[name] for name in ("printer", "dryer"))
    return float(still * max(0.0, 1 - (n - 1) / (n * use))) if use > 0 else 0.0


def can_be_bought(s: Table, pieces: Flows, wanted: Flows, without: Flows) -> Flows:
    """The part of `pieces`, not made here, that bought-in transfers could serve."""
    if not s["has_today"]:
        return [0.0] * len(pieces)
    return [n * min(1.0, other / asked) if asked > 0 else 0.0
            for n, asked, other in zip(pieces, wanted, without, strict=True)]  # fmt: skip


def work_done(
    s: Table, e: Table, wanted: Flows, without: Flows, *,
    t: int, prints: bool, days: float, open_days: float, care_hours: float,
) -> Table:  # fmt: skip
    """Pieces made and pieces bought in, as far as the stations have room, and their use.

    `fits` is the share of the work meant for the stations (made; without a printer: bought in)
    that they can do.
    """
    none, room = [0.0] * len(wanted), hours_available(s, e, overtime=s["overtime"])
    if not prints:
        wish = can_be_bought(s, wanted, wanted, without)
        asked = hours_taken(s, e, made=none, bought=wish, t=t)
        fits, down, made = share_that_fits(room, asked), 0.0, none
        bought = [n * fits for n in wish]
    else:
        down = share_down(s, e, wanted, room, t=t, days=days, open_days=open_days)
        rest = [n * (1 - down) for n in wanted]
        asked = hours_taken(s, e, made=rest, bought=none, t=t, care_hours=care_hours)
        left = room | {"people": room["people"] - care_hours}
        fits = share_that_fits(left, asked | {"people": asked["people"] - care_hours})
        made = [n * fits for n in rest]
        wish = can_be_bought(s, less(wanted, made), wanted, without)
        extra = hours_taken(s, e, made=none, bought=wish, t=t)
        taken = hours_taken(s, e, made=made, bought=none, t=t, care_hours=care_hours)
        handled = share_that_fits({name: room[name] - x for name, x in taken.items()}, extra)
        bought = [n * handled for n in wish]
    done = hours_taken(s, e, made=made, bought=bought, t=t, care_hours=care_hours)
    closed = is_closed(s, t)
    return {"made": made, "bought": bought, "down": down, "fits": fits,
            "use": {name: 0.0 if closed else x / room[name] for name, x in asked.items()},
            "overtime": overtime_worked(s, e, done)}  # fmt: skip


def overtime_worked(s: Table, e: Table, done: dict[str, float]) -> float:
    """Hours the shop stays open longer, for the station that needs it most."""
    if s["overtime"] == 0:
        return 0.0
    plain = hours_available(s, e, overtime=0.0)
    over = {name: x - plain[name] for name, x in done.items()}
    each = e["machines"]
    over |= {name: over[name] / each for name in ("printer", "dryer")}
    return max(0.0, *over.values())


def buy_transfers(
    s: Table, e: Table, pieces: Flows, *, orders: float, rise: float = 1.0, hurry: bool = False
) -> tuple[float, float]:
    """Cost of transfers and of their delivery; price breaks by area an order."""
    area = dot(pieces, s["products"], "tries", "area")
    if s["by_sheet"]:
        lengths = [n * one for n, one in zip(pieces, e["sheet"], strict=True)]
        area = dot(lengths, s["products"], "tries") * s["sheet_width"]
    if area <= 0:
        return 0.0, 0.0
    price = s["buy_in_price"]
    for start, lower in s["breaks"]:
        if area / orders >= start - 1e-12:
            price = lower
    cost = area * price * rise * (1 + (s["hurry_extra"] if hurry else 0))
    free = cost / orders >= s["delivery_free_from"]
    return cost, 0.0 if free else orders * s["delivery"] * rise


def ink_used(s: Table, e: Table, *, wet: float, lost: float) -> dict[str, float]:
    """Litres of white and colour in prints and losses, and thrown away, bottle by bottle."""
    white = wet * s["rate"]["white"] + lost * s["white_share"]
    colour = wet * s["rate"]["colour"] + lost * (1 - s["white_share"])
    least, n = s["pack"] / s["keeps"], e["machines"]
    bottles = n * s["colours"]
    return {"white": white, "colour": colour,
            "white_thrown": n * max(0.0, least - white / n),
            "colour_thrown": bottles * max(0.0, least - colour / bottles)}  # fmt: skip


def ink_money(s: Table, white: float, colour: float) -> float:
    return float(white * s["white_price"] + colour * s["colour_price"])


def energy_used(e: Table, *, area: float, printing_days: float) -> float:
    """Kilowatt-hours of the printers and the dryers in a month."""
    print_hours, dry_hours, days = area / e["print_speed"], area / e["dryer_speed"], printing_days
    days *= e["machines"]
    kept_on = max(e["dryer_on"] * days, dry_hours) + e["dryer_warm_up"] * days
    idle = max(0.0, DAYS_IN_MONTH * 24 * e["machines"] - print_hours) * e["idle_power"]
    return float(print_hours * e["printer"] + kept_on * e["dryer"] + idle)


def used_up(s: Table, e: Table, made: Flows, *, t: int, days: float, lost: float) -> Table:
    """What the pieces made here, on days of printing, and the losses use up in a month."""
    products, printed = s["products"], made_for(s, made, t)
    area, wet = dot(printed, products, "area"), dot(printed, products, "area", "wet")
    days = days if area > 0 else 0.0
    film = sum(n * one for n, one in zip(printed, e["film"], strict=True))
    film += e["run_ends"] * e["runs"] * days * e["machines"]
    ink = ink_used(s, e, wet=wet, lost=lost)
    return ink | {
        "area": area, "film": film, "rolls": film / (e["roll_length"] - e["roll_ends"]),
        "powder": wet * s["powder_weight"], "kwh": energy_used(e, area=area, printing_days=days),
    }  # fmt: skip


NOTHING_PRINTED = dict.fromkeys(
    ("white", "colour", "white_thrown", "colour_thrown", "area", "film", "rolls", "powder", "kwh"),
    0.0,
)


def month(
    s: Table, e: Table, wanted: Flows, without: Flows, *, runs: bool, t: int = STEADY,
    down_days: float = 0.0, price_factor: float = 1.0,
) -> Month:  # fmt: skip
    """Money lines and quantities of one month; repairs and wear parts come with the ledger.

    Of `wanted` pieces that are not printed here, the share `without` / `wanted` can be bought in.
    """
    products, line, prints = s["products"], dict.fromkeys(RUNNING, 0.0), runs and e["prints"]
    costs, price = grown(s, t, "costs"), price_factor * grown(s, t, "prices")
    open_days, care_hours, lost = care(s, e, t) if prints else (0.0, 0.0, 0.0)
    work = work_done(s, e, wanted, without, t=t, prints=prints, days=down_days,
                     open_days=open_days, care_hours=care_hours)  # fmt: skip
    made, bought, use = work["made"], work["bought"], NOTHING_PRINTED
    if prints:
        use = used_up(s, e, made, t=t, days=open_days * (1 - work["down"]), lost=lost)
    thrown = ink_money(s, use["white_thrown"], use["colour_thrown"])
    sold = [n + m for n, m in zip(made, bought, strict=True)]
    transfers = [n * p["tries"] for n, p in zip(bought, products, strict=True)]
    kinds = hours_of(s, zip(products, sold, made_for(s, made, t), transfers, strict=True))
    kinds["care"] = care_hours
    kwh = kinds["pressing"] * e["press"] + use["kwh"]
    orders = sum(n / p["pieces_per_order"] for n, p in zip(sold, products, strict=True))
    hours, full = sum(kinds.values()), dot(wanted, products, "price") * price
    paid, wage = dot(sold, products, "price") * price, s["wage"] * grown(s, t, "wages")
    line["sales"], line["lost_sales"] = full, paid - full
    line["garments"] = -dot(sold, products, "garments", "garment") * costs
    line["ink"] = -(ink_money(s, use["white"], use["colour"]) + thrown) * costs
    line["film"] = -use["rolls"] * e["roll_price"] * costs
    line["powder"] = -use["powder"] * s["powder_price"] * costs
    if sum(bought) > 0:
        share = dot(transfers, products, "area") / dot(wanted, products, "tries", "area")
        placed = s["orders"] * s["weeks"] * (share if prints else 1)
        cost, delivery = buy_transfers(s, e, bought, orders=placed, rise=grown(s, t, "buy_in"),
                                       hurry=prints)  # fmt: skip
        line["bought_in"], line["delivery"] = -cost, -delivery
    line["labour"] = -max(0.0, hours - s["free_hours"]) * wage
    line["overtime"] = -work["overtime"] * wage * s["overtime_extra"]
    line["energy"] = -kwh * s["electricity"] * costs
    line["payment_fees"] = -paid * s["payment_fee"] - orders * s["payment_fee_each"] * costs
    line["packing"] = -orders * (1 + s["redone"]) * s["packing"] * costs
    line["supplies"] = -e["supplies"] * costs if runs else 0.0
    line["overheads"] = -s["overheads_paid"] * costs
    payable, asked = ("garments", "ink", "film", "powder", "bought_in", "delivery"), sum(wanted)
    return line, work | use | {
        "pieces": asked, "sold": sold, "thrown": thrown, "hours": hours, "kinds": kinds,
        "kwh": kwh, "paid": paid, "purchases": -sum(line[name] for name in payable),
        "served": work["fits"] if prints else 0.0,
        "made_share": sum(made) / asked if asked > 0 else 0.0,
        "lost_pieces": asked - sum(sold), "hurried_pieces": sum(bought) if prints else 0.0,
    }  # fmt: skip


def repairs_in(s: Table, e: Table, w: Table, t: int) -> tuple[float, float]:
    """Repair money at month-1 prices and days one machine is down in month t."""
    age = t - s["runs_from"]
    if age <= 0:
        return 0.0, 0.0
    covered = age <= w["term"]
    days = e["down_days_covered"] if covered else e["down_days_uncovered"]
    if e["law"] is None:
        return (0.0 if covered else e["repair_share"]), days / 12
    first, power = e["law"]
    old = age + e["age_at_start"]
    expected = first * ((old / 12) ** power - ((old - 1) / 12) ** power)
    cost = w["deductible"] if covered else e["repair_cost"]
    return expected * cost * e["machines"], expected * days


# ---------------------------------------------------------------- running lines, month by month
def running(s: Table, e: Table, w: Table, case: Table, machine: bool) -> Planned:
    """Running columns and quantities, months 0 to H, with the machine or without it."""
    columns: Ledger = {name: [0.0] * (s["horizon"] + 1) for name in RUNNING}
    notes: list[Table] = [{}]
    worn = [{"area": 0.0, "age": 0} for _ in e["parts"]]
    for t in range(1, s["horizon"] + 1):
        runs, costs = machine and t > s["runs_from"], grown(s, t, "costs")
        wanted, without = (pieces_wanted(s, case, t, with_it) for with_it in (runs, False))
        repair, days = repairs_in(s, e, w, t) if runs else (0.0, 0.0)
        line, note = month(s, e, wanted, without, runs=runs, t=t, down_days=days,
                           price_factor=case["price"])  # fmt: skip
        line["repairs"] = -repair * costs
        if machine:
            line["insurance"] = -e["insurance"] * costs
            line["overheads"] -= s["overheads"] * costs
        if runs:
            for part, wear in zip(e["parts"], worn, strict=True):
                sets = sets_replaced(part, wear, note["area"])
                free = part["covered"] and t - s["runs_from"] <= w["term"]
                if t < s["horizon"] and not free:
                    line["wear_parts"] -= sets * part["cost"] * costs
        for name in RUNNING:
            columns[name][t] = line[name]
        notes.append(note)
    return columns, notes


def sets_replaced(part: Table, wear: dict[str, float], area: float) -> int:
    """Sets of a wear part changed in a running month; moves its area and age on."""
    wear["area"] += area
    wear["age"] += 1
    sets = int(wear["area"] / part["area"])
    if sets > 0:
        wear["area"] -= sets * part["area"]
        wear["age"] = 0
    elif wear["age"] >= part["age"]:
        wear["area"], wear["age"], sets = 0.0, 0, 1
    return sets


def working_capital(s: Table, e: Table, notes: list[Table], case: Table) -> dict[str, Flows]:
    """Changes of receivables and payables, and what returns at H (without stock)."""
    wanted = pieces_wanted(s, case | {"added": 0.0}, STEADY, False)
    _, opening = month(s, e, wanted, wanted, runs=False, price_factor=case["price"])
    rows = [opening, *notes[1:]]
    owed = [note["paid"] * s["customers_pay_after"] * 12 / 365 for note in rows]
    owing = [note["purchases"] * s["suppliers_paid_after"] * 12 / 365 for note in rows]
    return {
        "receivables": [0.0] + [before - after for before, after in itertools.pairwise(owed)],
        "payables": [0.0] + [after - before for before, after in itertools.pairwise(owing)],
        "working_capital_returned": [0.0] * s["horizon"] + [owed[-1] - owing[-1]],
    }


# ---------------------------------------------------------------- items, resale (section 4)
def replacements(s: Table, item: Table) -> list[tuple[int, float]]:
    """Months before H in which the item's life ends, and the price without sales tax then."""
    count = math.ceil(s["horizon"] / item["life"] - 1e-9)
    at = [math.ceil(n * item["life"] - 1e-9) for n in range(1, count)]
    return [(m, item["price"] * grown(s, m, "costs")) for m in at]


def first_worth(e: Table, t: int) -> Flows:
    """Resale value after t months of each item bought at signing."""
    return [item["price"] * item["share"] ** (t / item["after"]) for item in e["items"]]


def set_worth(s: Table, e: Table, t: int) -> float:
    """Resale value at the end of month t, of the items that stand there then."""
    worth = 0.0
    for item in e["items"]:
        standing = [(0, item["price"]), *replacements(s, item)]
        bought, price = [row for row in standing if row[0] <= t][-1]
        worth += price * item["share"] ** ((t - bought) / item["after"])
    return worth


# ---------------------------------------------------------------- ways to pay (section 5)
def annuity(*, rate: float, n: int) -> float:
    return n if rate == 0 else (1 - (1 + rate) ** -n) / rate


def present_value(flows: Flows, rate: float) -> float:
    return sum(x / (1 + rate) ** t for t, x in enumerate(flows))


def bisect(f: Callable[[float], float], *, low: float, high: float) -> float:
    """Where f changes sign between low and high."""
    rising = f(high) >= 0
    for _ in range(200):
        middle = (low + high) / 2
        if (f(middle) >= 0) == rising:
            high = middle
        else:
            low = middle
        if abs(high - low) <= 1e-13 * max(abs(high), 1e-3):
            break
    return (low + high) / 2


def sign_change(f: Callable[[float], float], *, low: float, high: float) -> float:
    """Where f changes sign between low and high: Chandrupatla's mix of halving and quadratics."""
    a, b = high, low
    fa, fb = f(a), f(b)
    c, fc, t = a, fa, 0.5
    for _ in range(200):
        x = a + t * (b - a)
        fx = f(x)
        if (fx >= 0) == (fa >= 0):
            c, fc = a, fa
        else:
            c, b, fc, fb = b, a, fb, fa
        a, fa = x, fx
        near = a if abs(fa) < abs(fb) else b
        least = 1e-13 * max(abs(near), 1e-3) / abs(b - a)
        if fa == 0 or least > 0.5:
            break
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb) if fc != fb else 2.0
        t = 0.5
        if phi**2 < xi and (1 - phi) ** 2 < 1 - xi:
            t = fa / (fb - fa) * fc / (fb - fc)
            t += (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        t = min(1 - least, max(least, t))
    return a if fa == 0 else near


def yearly_rate(flows: Flows) -> float:
    """Nominal rate a year at which flows, first in then out, have no present value."""
    return 12 * sign_change(lambda i: present_value(flows, i), low=-0.5, high=1.0)


def finance(s: Table, e: Table, w: Table, f: Table) -> Table:
    """Flows of a way to pay, months 0 to H, and what tax and the lender's tests need."""
    zeros, kind, covers = [0.0] * (s["horizon"] + 1), f["kind"], f.get("covers", ["equipment"])
    taxed = kind == "lease" and get(f, "sales_tax", 0) > 0
    way = {"kind": kind, "taxed": taxed, "conditional": False, "settled": 0.0}
    way |= dict.fromkeys(("payment", "apr", "rate"))
    way |= {name: zeros.copy() for name in ("balance", "service", "deduct")}
    way["flow"] = {name: zeros.copy() for name in FINANCING}
    parts = {"equipment": e["price"] * (1 if taxed else 1 + e["sales_tax"]),
             "start-up": e["start_up"], "first fill": e["first_fill"] * s["liquid"],
             "stock": s["opening"], "warranty": w["price"]}  # fmt: skip
    down = get(f, "down_payment", "20 %" if kind == "loan" else 0)
    if kind != "cash":
        covered = sum(parts[name] for name in covers)
        financed = min(number(f["amount"]), covered) if "amount" in f else covered * (1 - down)
        way["flow"]["debt_drawn"][0] = financed
        fill = loan if kind == "loan" else lease
        fill(s, e, f, way, financed=financed, n=round(months(f["term"])))
    return way


def loan(s: Table, _: Table, f: Table, way: Table, *, financed: float, n: int) -> None:
    """A level loan; what is left at H is settled then."""
    h, flow, rate, fee = s["horizon"], way["flow"], number(f["rate"]) / 12, get(f, "fee", 0)
    payment, balance = financed / annuity(rate=rate, n=n), financed
    flow["fees"][0], way["deduct"][0], way["balance"][0] = -fee, fee, balance
    for t in range(1, min(n, h) + 1):
        interest = balance * rate
        balance -= payment - interest
        flow["interest"][t], flow["principal"][t] = -interest, -(payment - interest)
        way["balance"][t], way["deduct"][t], way["service"][t] = balance, interest, payment
    if n > h:
        way["settled"], way["balance"][h] = balance, 0.0
        flow["principal"][h] -= balance
    way["payment"], way["rate"] = payment, rate * 12
    way["apr"] = yearly_rate([financed - fee] + [-payment] * n)


def purchase_price(e: Table, f: Table, n: int) -> float:
    """What the goods of a lease cost at its end, before tax."""
    end = f["at_end"]
    if end == "market":
        return sum(first_worth(e, n))
    if not isinstance(end, dict):
        raise NotImplementedError("a lease with return or renewal")
    share = isinstance(end["buy"], str) and "%" in end["buy"]
    return number(end["buy"]) * (e["price"] if share else 1)


def lease(s: Table, e: Table, f: Table, way: Table, *, financed: float, n: int) -> None:
    if n > s["horizon"]:
        raise NotImplementedError("a lease beyond the horizon")
    flow, before, buy = way["flow"], number(f["payment"]), purchase_price(e, f, n)
    tax = 1 + get(f, "sales_tax", 0)
    advance = max(int(f.get("advance_payments", 0)), 1 if f.get("due") == "start" else 0)
    fee, deposit = get(f, "document_fee", 0), get(f, "deposit", 0)
    flow["fees"][0], flow["deposit"][0], flow["deposit"][n] = -fee, -deposit, deposit
    plain = [financed] + [0.0] * n
    for t in [0] * advance + list(range(1, n - advance + 1)):
        plain[t] -= before
        flow["lease_payments"][t] -= before * tax
    plain[n] -= buy
    flow["lease_purchase"][n] = -buy * tax
    way["service"][1 : n + 1] = [before * tax] * n
    way |= {"payment": before * tax, "buy_month": n, "buy_price": buy * tax,
            "conditional": buy <= 0.5 * sum(first_worth(e, n)), "rate": yearly_rate(plain),
            "apr": yearly_rate([plain[0] - fee, *plain[1:]])}  # fmt: skip
    deduct_lease(way, plain, fee=fee, tax=tax - 1, buy=buy)


def deduct_lease(way: Table, plain: Flows, *, fee: float, tax: float, buy: float) -> None:
    """A true lease: what is paid. A conditional sale: interest, fee, and tax on payments."""
    way["deduct"] = [-x for x in way["flow"]["lease_payments"]]
    if way["conditional"]:
        balance = 0.0
        for t, x in enumerate(plain):
            interest = balance * way["rate"] / 12
            balance += interest + x
            way["deduct"][t] = interest + way["deduct"][t] * tax / (1 + tax)
        way["deduct"][way["buy_month"]] += buy * tax
    way["deduct"][0] += fee


# ---------------------------------------------------------------- tax (section 6)
def assets(s: Table, e: Table, way: Table) -> list[tuple[float, int, float]]:
    """What is written off: (cost, from month, over months)."""
    rows, tax = [], 1 + e["sales_tax"]
    lessor_owns = way["kind"] == "lease" and not way["conditional"]
    for i, item in enumerate(e["items"]):
        price = 0.0 if lessor_owns else item["price"] * (1 if way["taxed"] else tax)
        rows.append((e["start_up"] * item["price"] / e["price"] + price, 0, item["life"]))
        if lessor_owns:
            n, worth = way["buy_month"], first_worth(e, way["buy_month"])
            cost = way["buy_price"] * worth[i] / sum(worth)
            rows.append((cost, n, max(0, item["life"] - n)))
        rows += [(cost * tax, m, item["life"]) for m, cost in replacements(s, item)]
    return rows


def written_off(s: Table, rows: list[tuple[float, int, float]]) -> tuple[Flows, float]:
    """Equal parts by month, and what is left at H."""
    off, book = [0.0] * (s["horizon"] + 1), 0.0
    for cost, first, life in rows:
        if life <= 0:
            off[first] += cost
            continue
        for t in range(first + 1, s["horizon"] + 1):
            off[t] += cost / life * min(1.0, max(0.0, life - (t - 1 - first)))
        book += cost * max(0.0, 1 - (s["horizon"] - first) / life)
    return off, book


def deductions(s: Table, e: Table, w: Table, way: Table) -> tuple[Flows, float]:
    """All that is deducted beside running costs, by month, and the book value at H."""
    warranty = (w["price"], s["runs_from"], w["term"])
    off, book = written_off(s, [*assets(s, e, way), warranty])
    off = [x + y for x, y in zip(off, way["deduct"], strict=True)]
    off[0] += e["first_fill"] * s["liquid"]
    return off, book


def taxes(s: Table, profit: Flows) -> Flows:
    """Tax paid by month (negative) on profit by month; month 0 falls in month 1's year."""
    h = s["horizon"]
    paid, year, loss = [0.0] * (h + 1), 0.0, 0.0
    for t in range(h + 1):
        year += profit[t]
        if t == h or (t > 0 and (s["start"] + t - 1) % 12 == s["tax_end"]):
            taxable = year
            if s["carried"]:
                taxable = max(0.0, year - loss)
                loss = max(0.0, loss - year)
            paid[t] = -s["tax"] * taxable
            year = 0.0
    return paid


# ---------------------------------------------------------------- the ledger of a choice
def series(columns: Ledger, names: list[str]) -> Flows:
    return [sum(columns[name][t] for name in names) for t in range(len(columns["sales"]))]


def less(ours: Flows, *others: Flows) -> Flows:
    return [x - sum(ys) for x, *ys in zip(ours, *others, strict=True)]


def plan(s: Table, e: Table, w: Table, case: Table, way: Table | None) -> Planned:
    """Every column, months 0 to H, and the quantities by month.

    `way` is what finance() gives; None for what the shop does if it signs nothing.
    """
    columns = {name: [0.0] * (s["horizon"] + 1) for name in LEDGER}
    lines, notes = running(s, e, w, case, way is not None)
    columns |= lines | working_capital(s, e, notes, case)
    if way is not None:
        columns |= way["flow"]
        columns["sales_tax"][0] = 0.0 if way["taxed"] else -e["price"] * e["sales_tax"]
        outlay = {"equipment": e["price"], "start_up": e["start_up"], "warranty": w["price"],
                  "first_fill": e["first_fill"] * s["liquid"], "stock": s["opening"]}  # fmt: skip
        for name, cost in outlay.items():
            columns[name][0] = -cost
        for m, price in (row for item in e["items"] for row in replacements(s, item)):
            columns["replacements"][m] -= price * (1 + e["sales_tax"])
        columns["resale"][-1] = set_worth(s, e, s["horizon"])
        columns["working_capital_returned"][-1] += s["opening"]
    off, book = deductions(s, e, w, way) if way else ([0.0] * (s["horizon"] + 1), 0.0)
    profit = less(series(columns, RUNNING), off)
    columns["tax"] = taxes(s, profit)
    profit[-1] += columns["resale"][-1] - book
    columns["tax_on_resale"][-1] = taxes(s, profit)[-1] - columns["tax"][-1]
    columns["net"] = series(columns, LEDGER)
    return columns, notes


def compared(s: Table, e: Table, w: Table, way: Table) -> dict[str, Pair]:
    """Ledger of the choice and the ledger it is compared with, in the three comparisons."""
    today, whole = (plan(s, e, w, case, way)[0] for case in (TODAY, PLAN))
    nothing, bought = (plan(s, e, w, case, None)[0] for case in (TODAY, PLAN))
    return {"today_only": (today, nothing), "against_buying_in": (whole, bought),
            "whole_plan": (whole, nothing)}  # fmt: skip


def difference(pair: Pair, names: list[str]) -> Flows:
    return less(series(pair[0], names), series(pair[1], names))


# ---------------------------------------------------------------- figures (section 7)
def payback(flows: Flows) -> float | None:
    """First time after which the running sum stays at or above 0, in months."""
    sums = list(itertools.accumulate(flows))
    last = max((t for t, x in enumerate(sums) if x < -1e-9), default=None)
    if last is None:
        return 0.0
    return None if last == len(flows) - 1 else last - sums[last] / flows[last + 1]


def internal_rates(flows: Flows) -> Flows:
    """All rates a year above -99 % at which the flows have no present value."""

    def value(factor: float) -> float:
        return present_value(flows, factor ** (1 / 12) - 1)

    grid = [0.01 * 10 ** (n / 250) for n in range(2001)]
    pairs = itertools.pairwise([(factor, value(factor)) for factor in grid])
    changes = [(a, b) for (a, x), (b, y) in pairs if (x < 0) != (y < 0)]
    return [sign_change(value, low=low, high=high) - 1 for low, high in changes]


def modified_rate(flows: Flows, rate: float) -> float | None:
    h = len(flows) - 1
    put_in = sum(-x / (1 + rate) ** t for t, x in enumerate(flows) if x < 0)
    taken = sum(x * (1 + rate) ** (h - t) for t, x in enumerate(flows) if x > 0)
    return (taken / put_in) ** (12 / h) - 1 if put_in > 0 and taken > 0 else None


def lowest_root(f: Callable[[float], float], high: float) -> float | None:
    """Lowest point of 0..high at which f reaches 0 from below; None if there is none."""
    points = [high * n / 100 for n in range(101)]
    for before, x in itertools.pairwise([0.0, *points]):
        if f(x) >= 0:
            return sign_change(f, low=before, high=x) if x > 0 else 0.0
    return None


def lowest_staying(f: Callable[[float], float], high: float, *, steps: int = 200) -> float | None:
    """Lowest point of 0..high from which f stays at or above 0; None if there is none."""
    points = [high * n / steps for n in range(steps, -1, -1)]
    for after, x in itertools.pairwise([high, *points]):
        if f(x) < 0:
            return sign_change(f, low=x, high=after) if x < high else None
    return 0.0


def wear_accrued(e: Table, area: float) -> float:
    parts = e["parts"]
    return math.fsum(part["cost"] * max(area / part["area"], 1 / part["age"]) for part in parts)


def steady(s: Table, e: Table, w: Table, case: Table) -> Month:
    """A month with ramp, season and growth 1, month-1 prices; mean repairs, accrued wear."""
    wanted, without = (pieces_wanted(s, case, STEADY, machine) for machine in (True, False))
    repairs = [repairs_in(s, e, w, t) for t in range(1, s["horizon"] + 1)]
    money, days = (sum(column) / s["horizon"] for column in zip(*repairs, strict=True))
    line, note = month(s, e, wanted, without, runs=True, down_days=days,
                       price_factor=case["price"])  # fmt: skip
    line["repairs"], line["insurance"] = -money, -e["insurance"]
    line["overheads"] -= s["overheads"]
    line["wear_parts"] = -wear_accrued(e, note["area"])
    return line, note


def capacity_limit(s: Table, e: Table, w: Table, key: str) -> float:
    """The largest `k` or `added`, up to 1,000, at which a steady month is served in full."""

    def spare(x: float) -> float:
        return float(steady(s, e, w, PLAN | {key: x})[1]["fits"]) - 1

    return 1000.0 if spare(1000.0) >= 0 else bisect(spare, low=0.0, high=1000.0)


def equivalent_monthly_cost(s: Table, e: Table, w: Table) -> float:
    h, rate = int(s["horizon"]), float(s["monthly"])
    outlay: float = e["price"] * (1 + e["sales_tax"]) + e["start_up"] + w["price"]
    outlay += e["first_fill"] * s["liquid"]
    for m, price in (row for item in e["items"] for row in replacements(s, item)):
        outlay += price * (1 + e["sales_tax"]) / (1 + rate) ** m
    return (outlay - set_worth(s, e, h) / (1 + rate) ** h) / annuity(rate=rate, n=h)


def made_less_bought(s: Table, e: Table, w: Table, k: float) -> float:
    """Money a month that making k times the planned transfers costs less than buying them."""
    wanted = [k * p["planned"] * s["weeks"] for p in s["products"]]
    line, note = month(s, e, wanted, wanted, runs=True)
    kinds, wage = note["kinds"], s["wage"]
    made: float = e["insurance"] + s["overheads"] + e["supplies"]
    made += equivalent_monthly_cost(s, e, w)
    made -= steady(s, e, w, PLAN)[0]["repairs"]
    made -= sum(line[name] for name in ("ink", "film", "powder", "energy"))
    made -= kinds["pressing"] * e["press"] * s["electricity"]
    made += wage * sum(kinds[kind] for kind in ("tending", "cutting", "care"))
    made += wear_accrued(e, note["area"])
    bought = sum(buy_transfers(s, e, wanted, orders=s["orders"] * s["weeks"]))
    for n, p in zip(wanted, s["products"], strict=True):
        bought += n * p["tries"] * len(p["prints"]) * s["cutting"] * wage
    return bought - made


def make_or_buy(s: Table, e: Table, w: Table, limit: float) -> float | None:
    """Planned area a week from which making stays cheaper than buying, up to capacity."""
    if not s["has_today"] or not e["prints"]:
        return None
    k = lowest_staying(lambda k: made_less_bought(s, e, w, k), limit, steps=500)
    return None if k is None else k * float(s["planned_area"])


def dearer(s: Table, factor: float) -> Table:
    """The shop with every price of bought-in transfers times a factor."""
    return s | {"buy_in_price": s["buy_in_price"] * factor,
                "breaks": [(start, price * factor) for start, price in s["breaks"]]}  # fmt: skip


def by_month(notes: list[Table]) -> Table:
    """Months 1 to H: use of stations, made share, pieces lost and hurried, overtime hours."""
    rows = notes[1:]
    keys = {"made_share": "made_share", "lost_pieces": "lost_pieces",
            "hurried_pieces": "hurried_pieces", "overtime_hours": "overtime"}  # fmt: skip
    use = {name: [note["use"][name] for note in rows] for name in rows[0]["use"]}
    return {"use": use} | {key: [note[name] for note in rows] for key, name in keys.items()}


def busiest_station(notes: list[Table]) -> Table:
    share, t, name = max(((share, -t, name) for t, note in enumerate(notes[1:], 1)
                          for name, share in note["use"].items()))  # fmt: skip
    return {"station": name, "month": -t, "share": share}


def consumables_by_quarter(columns: Ledger, notes: list[Table]) -> list[Table]:
    """Litres, kilograms, rolls and money of the first four quarters, without the first fill."""
    amounts = {"white_litres": ("white", "white_thrown"), "powder_kilograms": ("powder",),
               "colour_litres": ("colour", "colour_thrown"), "film_rolls": ("rolls",)}  # fmt: skip
    rows = []
    for first in (1, 4, 7, 10):
        row = {key: sum(note[name] for note in notes[first : first + 3] for name in names)
               for key, names in amounts.items()}  # fmt: skip
        money = {name: sum(columns[name][first : first + 3]) for name in ("ink", "powder", "film")}
        rows.append(row | {"money": money})
    return rows


def by_year(flows: Flows) -> Flows:
    """Sums of months 12y-11 to 12y; the first year takes month 0 too."""
    years = [sum(flows[first : first + 12]) for first in range(1, len(flows), 12)]
    return [flows[0] + years[0], *years[1:]]


def warranties_of(s: Table, e: Table) -> Table:
    """What each warranty of a set is worth, and its upkeep by year, bought for cash."""
    cash, rows = {"kind": "cash"}, []
    never_down = e | {"down_days_covered": 0.0, "down_days_uncovered": 0.0}
    margin = [name for name in RUNNING if name not in ("repairs", "wear_parts")]
    for w in e["warranty"]:
        columns, _ = plan(s, e, w, PLAN, finance(s, e, w, cash))
        up, _ = running(s, never_down, w, PLAN, True)
        lost = less(series(up, margin), series(columns, margin))
        rows.append({
            "warranty": w["name"], "net_present_value": added_value(s, e, w),
            "price_by_year": by_year(columns["warranty"]),
            "repairs_by_year": by_year(columns["repairs"]),
            "wear_parts_by_year": by_year(columns["wear_parts"]),
            "margin_lost_to_days_down_by_year": by_year(lost),
        })  # fmt: skip
    best = max(rows, key=lambda row: float(row["net_present_value"]))
    return {"equipment": e["name"], "worth_most": best["warranty"], "warranties": rows}


def added_value(s: Table, e: Table, w: Table, **change: float) -> float:
    """NPV of comparison B before financing when the added work is changed."""
    case, cash = PLAN | change, finance(s, e, w, {"kind": "cash"})
    flows = less(plan(s, e, w, case, cash)[0]["net"], plan(s, e, w, case, None)[0]["net"])
    return present_value(flows, s["monthly"])


def machine_figures(s: Table, e: Table, w: Table) -> tuple[Table, Table]:
    """What does not hang on the way to pay: figures, and lines beside them."""
    limit, area = capacity_limit(s, e, w, "k"), s["planned_area"]
    now = sum(p["today"] * p["area"] for p in s["products"])
    found, pairs = before_financing(s, e, w)
    paid, _ = before_financing(s | {"free_hours": 0.0}, e, w)
    headline = difference(pairs["against_buying_in"], LEDGER)
    added = lowest_root(lambda x: added_value(s, e, w, added=x), capacity_limit(s, e, w, "added"))
    make = make_or_buy(s, e, w, limit)
    found |= {
        "modified_rate_of_return": modified_rate(headline, s["monthly"]),
        "profitability_index": 1 + present_value(headline, s["monthly"]) / -headline[0],
        "added_work_needed": added, "margin_of_safety": None if added is None else 1 - added,
        "make_or_buy_area_per_week": make,
    }  # fmt: skip
    columns, notes = pairs["against_buying_in"][0], running(s, e, w, PLAN, True)[1]
    bought_in = pieces_wanted(s, PLAN, STEADY, False)
    hours = {"with": steady(s, e, w, PLAN)[1],
             "without": month(s, e, bought_in, bought_in, runs=False)[1]}  # fmt: skip
    return found, {
        "every_hour_paid": {key: paid[key] for key in ("payback_months", "net_present_value")},
        "worth_more_from_area": now + added * (area - now) if added else None,
        "hours_per_week": {key: note["hours"] / s["weeks"] for key, note in hours.items()},
        "equivalent_monthly_cost": equivalent_monthly_cost(s, e, w), "capacity_factor": limit,
        "make_or_buy_area_at_buy_in_times": {
            str(x): make_or_buy(dearer(s, x), e, w, limit) for x in (0.8, 0.9, 1.1, 1.2)},
        "before_financing": columns, "monthly": notes,
        "monthly_without": running(s, e, w, PLAN, False)[1],
        "by_month": by_month(notes), "busiest_station": busiest_station(notes),
        "consumables_by_quarter": consumables_by_quarter(columns, notes),
    }  # fmt: skip


def before_financing(s: Table, e: Table, w: Table) -> tuple[Table, dict[str, Pair]]:
    """Payback, NPV and internal rates of the three comparisons, bought for cash."""
    pairs = compared(s, e, w, finance(s, e, w, {"kind": "cash"}))
    keys = ["payback_months", "discounted_payback_months"]
    keys += ["net_present_value", "internal_rates_of_return"]
    out: Table = {key: {} for key in keys}
    for name, pair in pairs.items():
        flows, until_end = difference(pair, LEDGER), difference(pair, BEFORE_END)
        discounted = [x / (1 + s["monthly"]) ** t for t, x in enumerate(until_end)]
        out["payback_months"][name] = payback(until_end)
        out["discounted_payback_months"][name] = payback(discounted)
        out["net_present_value"][name] = present_value(flows, s["monthly"])
        out["internal_rates_of_return"][name] = internal_rates(flows)
    return out, pairs


def financed_figures(s: Table, e: Table, w: Table, way: Table) -> tuple[Table, Pair, Table]:
    """Figures of one choice that hang on the way to pay, its ledgers and lines."""
    pairs = compared(s, e, w, way)
    ours = pairs["against_buying_in"][0]
    out: Table = {"payback_own_cash_months": {}, "net_present_value_financed": {}}
    for name, pair in pairs.items():
        own = difference(pair, BEFORE_END)
        own[-1] += way["settled"]
        out["payback_own_cash_months"][name] = payback(own)
        value = present_value(difference(pair, LEDGER), s["monthly"])
        out["net_present_value_financed"][name] = value
    balance = cash_balance(s, own)  # the last is against today
    out |= {
        "lowest_cash": min(balance), "lowest_cash_month": balance.index(min(balance)),
        "most_money_in": min(itertools.accumulate(own)),
        "annual_percentage_rate": way["apr"], "payment_per_month": way["payment"],
        "total_paid": -sum(ours[name][0] for name in CAPITAL) - sum(series(ours, FINANCING)),
        "present_cost_of_financing": present_cost(s, ours),
    }  # fmt: skip
    out |= break_evens(s, e, w, way) | debt_service(s, pairs, way) | collateral(s, e, way)
    lines = {"conditional_sale": way["conditional"], "rate_of_financing": way["rate"],
             "cash_balance": balance}  # fmt: skip
    return out, pairs["against_buying_in"], lines


def break_evens(s: Table, e: Table, w: Table, way: Table) -> Table:
    limit = capacity_limit(s, e, w, "k")
    pieces = sum(p["planned"] for p in s["products"])
    owed = way["payment"] or equivalent_monthly_cost(s, e, w)

    def own_value(**change: float) -> float:
        return present_value(plan(s, e, w, PLAN | change, way)[0]["net"], s["monthly"])

    monthly = lowest_root(lambda k: sum(steady(s, e, w, PLAN | {"k": k})[0].values()) - owed, limit)
    lifetime = lowest_root(lambda k: own_value(k=k), limit)
    return {
        "break_even_pieces_per_week": None if monthly is None else monthly * pieces,
        "break_even_area_per_week": None if monthly is None else monthly * s["planned_area"],
        "lifetime_break_even_pieces_per_week": None if lifetime is None else lifetime * pieces,
        "break_even_price_factor": lowest_root(lambda x: own_value(price=x), 20.0),
    }


def cover(cash: Flows, service: Flows) -> list[float | None]:
    """Cash flow over service by year; None in a year without debt."""
    years = []
    for first in range(1, len(cash), 12):
        owed = sum(service[first : first + 12])
        years.append(sum(cash[first : first + 12]) / owed if owed > 1e-9 else None)
    return years


def debt_service(s: Table, pairs: dict[str, Pair], way: Table) -> Table:
    """Debt service cover in the three comparisons, of the project and of the whole shop."""
    flow, project = s["shop_flow"], {}
    shop: Table | None = {"before_tax": {}, "after_tax_and_draw": {}} if flow is not None else None
    service = [x + sum(pay for pay, ends in s["debts"] if 1 <= t <= ends)
               for t, x in enumerate(way["service"])]  # fmt: skip
    for name, pair in pairs.items():
        before = difference(pair, [*RUNNING, *WORKING, "replacements"])
        after = difference(pair, [*RUNNING, *WORKING, "replacements", "tax"])
        project[name] = cover(after, way["service"])
        if shop:
            shop["before_tax"][name] = cover([x + flow / 12 for x in before], service)
            drawn = [x + (flow - s["owner_draw"]) / 12 for x in after]
            shop["after_tax_and_draw"][name] = cover(drawn, service)
    measures = s["raw"].get("lender", {}).get("measures", "after tax and draw")
    rows = (shop[measures.replace(" ", "_")] if shop else project)["against_buying_in"]
    return {
        "debt_service_cover_project_by_year": project, "debt_service_cover_shop_by_year": shop,
        "lowest_debt_service_cover": min((x for x in rows if x is not None), default=None),
    }  # fmt: skip


def cash_balance(s: Table, own: Flows) -> Flows:
    """Balance at months 0 to H: own flow against today and the rest of the shop."""
    balance, rows = s["cash_at_start"], []
    for t, x in enumerate(own):
        balance += x
        if t > 0 and s["shop_flow"] is not None:
            balance += (s["shop_flow"] - s["owner_draw"]) / 12
            balance -= sum(pay for pay, ends in s["debts"] if t <= ends)
        rows.append(balance)
    return rows


def collateral(s: Table, e: Table, way: Table) -> Table:
    """The lender's share of resale value over a loan's balance; the shortfall if sold."""
    owed = [(set_worth(s, e, t), x) for t, x in enumerate(way["balance"]) if x > 1e-6]
    lowest = min((worth * s["counts"] / x for worth, x in owed), default=None)
    shortfall = max(0.0, *(x - worth for worth, x in owed)) if owed else None
    return {"collateral_cover_lowest": lowest, "largest_shortfall_if_sold": shortfall}


def present_cost(s: Table, ours: Ledger) -> float:
    """All but running lines and working capital, at the cost of debt after tax."""
    rates = [number(f["rate"]) for f in s["raw"].get("financing", []) if f["kind"] == "loan"]
    debt, work = rates[0] if rates else s["hurdle"], series(ours, RUNNING)
    flows = less(ours["net"], work, series(ours, WORKING), taxes(s, work))
    flows[-1] -= ours["working_capital_returned"][-1] - s["opening"]
    return -present_value(flows, (1 - s["tax"]) * debt / 12)


# ---------------------------------------------------------------- cost of a print (section 2)
def overhead_per_area(s: Table, e: Table, w: Table, good: float) -> float:
    """Costs that hang on no single print, by planned good area."""
    made = made_for(s, pieces_wanted(s, PLAN, STEADY, True), STEADY)
    area, wet = dot(made, s["products"], "area"), dot(made, s["products"], "area", "wet")
    open_days, care_hours, lost = care(s, e, STEADY)
    days, ink = open_days * e["machines"], ink_used(s, e, wet=wet, lost=lost)
    film = sum(n * one for n, one in zip(made, e["film"], strict=True))
    paid_film = film + e["run_ends"] * e["runs"] * days
    kwh = max(0.0, e["dryer_on"] * days - area / e["dryer_speed"]) * e["dryer"]
    kwh += e["dryer_warm_up"] * days * e["dryer"]
    idle_hours = max(0.0, DAYS_IN_MONTH * 24 * e["machines"] - area / e["print_speed"])
    kwh += idle_hours * e["idle_power"]
    shared: float = s["overheads"] + s["overheads_paid"] + e["supplies"] + e["insurance"]
    shared += lost * s["liquid"] + ink_money(s, ink["white_thrown"], ink["colour_thrown"])
    shared += care_hours * s["wage"] + kwh * s["electricity"]
    shared += paid_film * e["roll_price"] / (e["roll_length"] - e["roll_ends"])
    shared -= film * e["roll_price"] / e["roll_length"]
    shared += wear_accrued(e, area) - steady(s, e, w, PLAN)[0]["repairs"]
    return shared / good


def print_costs(s: Table, e: Table, w: Table) -> list[Table]:
    """Cost of a piece of each product: material, full, full with equipment, and the parts."""
    good = s["planned_area"] * s["weeks"]
    overhead, machine = overhead_per_area(s, e, w, good), equivalent_monthly_cost(s, e, w) / good
    rows = []
    for p, length in zip(s["products"], e["film"], strict=True):
        made, n = p["tries"] / (1 - s["transfers"]), p["pieces_per_order"]
        area, hours = made * p["area"], hours_of(s, [(p, 1.0, made, 0.0)])
        kwh = area / e["print_speed"] * e["printer"] + area / e["dryer_speed"] * e["dryer"]
        parts = {
            "ink": area * p["wet"] * s["ink_area"],
            "powder": area * p["wet"] * s["powder_area"],
            "film": made * length * e["roll_price"] / e["roll_length"],
            "garment": p["garments"] * p["garment"],
            "labour": sum(hours.values()) * s["wage"],
            "energy": (kwh + hours["pressing"] * e["press"]) * s["electricity"],
            "payment_fee": s["payment_fee"] * p["price"] + s["payment_fee_each"] / n,
            "packing": (1 + s["redone"]) * s["packing"] / n,
            "overhead_share": overhead * p["area"],
        }
        material = sum(parts[key] for key in ("ink", "powder", "film", "garment"))
        full = sum(parts.values())
        rows.append({"product": p["name"], "parts": parts, "material": material, "full": full,
                     "full_with_equipment": full + machine * p["area"]})  # fmt: skip
    return rows


# ---------------------------------------------------------------- all choices
def choices_of(s: Table, e: Table, w: Table) -> Iterator[Table]:
    """Every way to pay for one set with one warranty."""
    ways = s["raw"].get("financing", [])
    if not any(f["kind"] == "cash" for f in ways):
        ways = [*ways, {"name": "cash", "kind": "cash"}]
    machine, beside = machine_figures(s, e, w)
    for f in ways:
        if f.get("equipment", e["name"]) == e["name"]:
            found, (ledger, other), lines = financed_figures(s, e, w, finance(s, e, w, f))
            yield {"equipment": e["name"], "warranty": w["name"],
                   "financing": f.get("name", f["kind"]), "figures": machine | found,
                   "ledger": ledger, "without": other, "lines": beside | lines}  # fmt: skip


def calculate(path: str | Path) -> Table:
    s = read_scenario(path)
    printing = [e for e in s["equipment"] if e["prints"]][:1]
    layout = [
        {"equipment": e["name"], "product": p["name"],
         "film_per_order": film * p["pieces_per_order"],
         "sheet_per_order": sheet * p["pieces_per_order"]}
        for e in s["equipment"]
        for p, film, sheet in zip(s["products"], e["film"], e["sheet"], strict=True)
    ]  # fmt: skip
    return {
        "choices": [c for e in s["equipment"] for w in e["warranty"] for c in choices_of(s, e, w)],
        "sets": [warranties_of(s, e) for e in s["equipment"]],
        "prints": [row for e in printing for row in print_costs(s, e, e["warranty"][0])],
        "lines": {"rates": s["rate"], "ink_cost_per_area": s["ink_area"], "layout": layout,
                  "powder_cost_per_area": s["powder_area"], "liquid_price": s["liquid"]},
    }  # fmt: skip


if __name__ == "__main__":
    print(json.dumps(calculate(sys.argv[1]), indent=1))
