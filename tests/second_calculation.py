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
from pathlib import Path

# The readings taken where the rules leave a choice.
#  1 Own film is not turned unless `may_turn` says so; the supplier's sheet always may be.
#    Transfers are priced by picture area unless `buy_in_by` says otherwise.
#  2 With a failure law, down days are days a failure (3 covered, 6 not); else days a year.
#  3 Of what the machine cannot serve (down or full), min(1, pieces without / pieces asked) is
#    bought in a hurry, the rest lost; hurry orders by printed area. People and press are stations.
#  4 Run ends, dryer hours, warm-up: open days less down days. Long stop: a flush a closed week of
#    the year, spread over open months, and one in the first month of each closed stretch.
#  5 Redone work repeats set-up and packing only. Unpaid hours: open weeks / 12 in every month.
#  6 Wear parts: area beyond a life counts for the next part; by age, area and age start anew.
#  7 Warranty is deducted in equal months of its term from runs_from + 1.
#  8 Market price at a lease's end: resale value of the first goods. Taxed payments: no sales tax.
#  9 Equivalent monthly cost: month 0 without stock, replacements, less resale; before tax.
# 10 Own NPV, total paid, cash: the choice with its financing.
# 11 Present cost: all but running lines and working capital; tax less that on running lines.
# 12 Total paid: month 0 and financing, net of deposit; no resale or replacements.
# 13 Debt service: no balloon, no purchase price; an advance belongs to the month it pays for.
# 14 Paybacks, most money in and lowest cash leave out what only the end brings.
# 15 Tax on resale: tax of month H with the gain less tax without it.
# 16 Ink thrown away: a bottle uses up pack / keeps a month at least, losses counted as use.

# ---------------------------------------------------------------- quantities (section 1)
UNITS = {
    "in": 0.0254, "ft": 0.3048, "cm": 0.01, "mm": 0.001, "m": 1.0,
    "in^2": 0.0254**2, "ft^2": 0.3048**2, "cm^2": 1e-4, "m^2": 1.0,
    "L": 1.0, "mL": 0.001, "kg": 1.0, "g": 0.001,
    "hour": 1.0, "min": 1 / 60, "s": 1 / 3600, "kW": 1.0, "kWh": 1.0, "%": 0.01,
}  # fmt: skip
for word in "day week month year piece order run roll print design USD EUR".split():
    UNITS[word] = 1.0
DAYS_IN_MONTH = 365 / 12


def number(value, mean=False):
    """A plain number in the units above; an estimate gives its likely value or PERT mean."""
    if isinstance(value, dict):
        if mean and "low" in value:
            return (number(value["low"]) + 4 * number(value["likely"]) + number(value["high"])) / 6
        return number(value["likely"])
    if not isinstance(value, str):
        return float(value)
    amount, unit = value.split(maxsplit=1)
    over, *under = unit.split("/")
    result = float(amount) * UNITS[over]
    for part in under:
        result /= UNITS[part]
    return result


def months(value):
    amount, unit = value.split()
    return float(amount) * {"month": 1, "months": 1, "year": 12, "years": 12}[unit]


def size(text):
    first, second = text.split(" x ")
    return number(first), number(second)


def calendar(text):
    """Months since year 0 of "2027-03"."""
    year, month = text.split("-")[:2]
    return int(year) * 12 + int(month) - 1


def get(table, key, default):
    return number(table.get(key, default))


def filled(table, defaults):
    return {key: get(table, key, default) for key, default in defaults.items()}


# ---------------------------------------------------------------- reading, defaults (section 10)
SHOP = {
    "open_days": 5, "open_hours": 8, "open_weeks": 48, "staff_hours": 40, "efficiency": "60 %",
    "on_costs": "12 %", "unpaid_hours": 0, "hours_already_paid": 0, "customers_pay_after": 14,
    "suppliers_paid_after": 0, "owner_draw": 0,
}  # fmt: skip
LABOUR = {
    "artwork": "15 min", "new_designs": "100 %", "order_setup": "10 min", "tending": "1 min/ft^2",
    "cutting": "0.5 min", "pressing": "1.25 min", "peel_wait": 0, "daily": "30 min",
    "weekly": "45 min",
}  # fmt: skip
TODAY_KEYS = {
    "buy_in_price": None, "sheet_width": "22 in", "sheet_gap": "0.25 in", "delivery": 0,
    "delivery_free_from": math.inf, "orders": 1, "hurry_extra": "30 %",
}  # fmt: skip
INK = {"first_fill": "1.5 L", "daily_loss": "12 mL", "closed_day_loss": "4 mL", "pack": "1 L",
       "colours": 4}  # fmt: skip


def read_scenario(path):
    path = Path(path)
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    shop, ramp, tax = raw["shop"], raw.get("ramp", {}), raw.get("tax", {})
    s = {"raw": raw, "start": calendar(raw["start"])}
    s["horizon"] = int(months(raw.get("horizon", "60 months")))
    s["runs_from"] = math.ceil(months(raw.get("runs_from", "1 month")))
    s["hurdle"] = get(raw, "hurdle_rate", "15 %/year")
    s["monthly"] = (1 + s["hurdle"]) ** (1 / 12) - 1
    read_shop(s, shop)
    s["growth"] = filled(
        raw.get("growth", {}), dict.fromkeys(("volume", "prices", "costs", "wages", "buy_in"), 0)
    )
    s |= filled(ramp, {"start_share": 0, "spoilage_at_start": "15 %"})
    s["ramp_months"] = months(ramp.get("months", "9 months"))
    spoilage = {"transfers": "5 %", "garments": "1 %", "redone": "1 %"}
    s |= filled(raw.get("spoilage", {}), spoilage)
    s["labour"] = filled(raw.get("labour", {}), LABOUR)
    selling = {"payment_fee": "3 %", "payment_fee_each": 0, "packing": 0}
    s |= filled(raw.get("selling", {}), selling)
    overheads = raw.get("overheads", [])
    s["overheads"] = sum(number(o["cost"]) for o in overheads if not o.get("already_paid"))
    s["overheads_paid"] = sum(number(o["cost"]) for o in overheads if o.get("already_paid"))
    s["stock"] = get(raw.get("stock", {}), "opening", 0)
    read_today(s, raw.get("today"))
    read_ink(s, raw, path.parent)
    s["products"] = [read_product(s, p) for p in raw["products"]]
    s["equipment"] = [read_equipment(s, e) for e in raw["equipment"]]
    s["tax"] = get(tax, "rate", 0)
    s["tax_end"] = list(names_of.month_name).index(tax.get("year_ends", "December")) - 1
    s["carried"] = tax.get("losses") == "carried forward"
    if tax.get("depreciation", "straight line") != "straight line":
        raise NotImplementedError("depreciation other than straight line")
    return s


def read_shop(s, shop):
    s |= filled(shop, SHOP)
    s["weeks"] = s["open_weeks"] / 12
    s["days"] = s["open_days"] * s["weeks"]
    s["wage"] = number(shop["wage"]) * (1 + s["on_costs"])
    s["free_hours"] = (s["unpaid_hours"] + s["hours_already_paid"]) * s["weeks"]
    s["electricity"] = number(shop["electricity"])
    s["season"] = shop.get("season", [1] * 12)
    s["closed"] = [calendar(month) for month in shop.get("closed", [])]
    s["receivable"] = s["customers_pay_after"] * 12 / 365
    s["payable"] = s["suppliers_paid_after"] * 12 / 365
    s["cash"] = number(shop["cash_at_start"])
    s["shop_flow"] = number(shop["cash_flow_before"]) if "cash_flow_before" in shop else None
    debts = shop.get("debts", [])
    s["debts"] = [(number(d["payment"]), calendar(d["ends"]) - s["start"] + 1) for d in debts]


def read_today(s, today):
    s["has_today"] = today is not None
    if today is None:
        return
    s |= filled(today, TODAY_KEYS)
    s["buy_by"] = today.get("buy_in_by", "picture")
    s["breaks"] = [(number(b["from"]), number(b["price"])) for b in today.get("price_breaks", [])]


def read_ink(s, raw, folder):
    """Rates per box area by the ratio of sums (section 2), prices, losses."""
    area, rate = 0.0, {"white": 0.0, "colour": 0.0, "powder": 0.0}
    with open(folder / raw["test_prints"]["file"], newline="", encoding="utf-8") as sheet:
        for row in csv.DictReader(sheet):
            row.pop("design")
            got = {}
            for head, text in row.items():
                name, _, unit = head.partition(" [")
                got[name] = float(text) * UNITS.get(unit.rstrip("]"), 1.0)
            area += got["width"] * got["height"] * got["copies"]
            rate["white"] += got["white"]
            rate["colour"] += got["colour"]
            rate["powder"] += got["after powder"] - got["before powder"]
    s["rate"] = rate = {key: amount / area for key, amount in rate.items()}
    ink, powder = raw["ink"], raw["powder"]
    s |= filled(ink, INK)
    s["keeps"] = months(ink.get("keeps", "6 months"))
    s["stop"] = filled(
        ink.get("long_stop", {}), {"after": "5 day", "ink": "80 mL", "time": "60 min"}
    )
    s["white_price"] = number(ink.get("white_price", ink.get("price")))
    s["colour_price"] = number(ink.get("colour_price", ink.get("price")))
    s["white_share"] = rate["white"] / (rate["white"] + rate["colour"])
    s["ink_area"] = rate["white"] * s["white_price"] + rate["colour"] * s["colour_price"]
    s["liquid"] = s["ink_area"] / (rate["white"] + rate["colour"])
    s["powder_area"] = rate["powder"] * number(powder["price"]) / (1 - get(powder, "lost", "15 %"))


def read_product(s, p):
    if "buy_in" in p:
        raise NotImplementedError("buy-in price a piece")
    prints = [size(text) for text in p["prints"]]
    pressed = p.get("pressed", True)
    return {
        "name": p["name"], "prints": prints, "pressed": pressed,
        "area": sum(w * h for w, h in prints),
        "wet": get(p, "coverage", "100 %") * get(p, "filled", "100 %"),
        "price": number(p["price"]), "garment": number(p["garment"]),
        "today": get(p, "today", 0), "planned": number(p["planned"]),
        "needs": get(p, "needs_machine", 0.0 if s["has_today"] else 1.0),
        "per_order": get(p, "pieces_per_order", 6),
        "season": p.get("season", s["season"]),
        "tries": (1 + s["redone"]) / (1 - (s["garments"] if pressed else 0)),
    }  # fmt: skip


def read_equipment(s, e):
    if "print_speed" not in e:
        raise NotImplementedError("equipment without a printer")
    items = [read_item(row) for row in e.get("items") or [e]]
    price = sum(item["price"] for item in items)
    printer, dryer = get(e, "printer_power", 0), number(e.get("dryer_power", e.get("power")))
    result = {
        "name": e["name"], "items": items, "price": price, "sales_tax": get(e, "sales_tax", 0),
        "speed": number(e["print_speed"]), "printer": printer, "dryer": dryer,
        "dryer_speed": get(e, "dryer_speed", e["print_speed"]),
        "dryer_on": get(e, "dryer_on", 3), "warm_up": get(e, "dryer_warm_up", "30 min"),
        "idle": get(e, "idle_power", 0.03 * (printer + dryer)),
        "press": get(e, "press_power", 1.8) * get(e, "press_duty", "50 %"),
        "presses": get(e, "presses", 1),
        "supplies": get(e, "supplies", 0.04 * price / 12),
        "insurance": get(e, "insurance", "2 %/year") * price / 12,
        "warranty": [{
            "name": w["name"], "term": months(w["term"]), "price": get(w, "price", 0),
            "deductible": get(w, "deductible", 0),
        } for w in e.get("warranty", [{"name": "Included", "term": "12 months"}])],
    }  # fmt: skip
    read_upkeep(e, price, result)
    read_film(s, s["raw"]["film"] | e.get("film", {}), result)
    rows = e.get("start_up", [{"cost": 0.15 * price}])
    hours = [number(r["hours"]) for r in rows if "hours" in r] or [24.0]
    practice = [number(r["practice"]) for r in rows if "practice" in r] or [number("60 ft^2")]
    plain = s["ink_area"] + s["powder_area"] + result["roll_price"] / result["roll_area"]
    result["start_up"] = sum(get(r, "cost", 0) for r in rows)
    result["start_up"] += sum(hours) * s["wage"] + sum(practice) * plain
    return result


def read_item(row):
    worth = row.get("worth", {"after": "36 months", "share": "20 %"})
    return {
        "price": number(row["price"]) * get(row, "quantity", 1),
        "life": months(row.get("life", "5 years")),
        "after": months(worth["after"]), "share": number(worth["share"]),
    }  # fmt: skip


def read_upkeep(e, price, result):
    """Wear parts, the failure law (or a share of price a year), down days."""
    parts = e.get("wear_parts", [{"price": 0.08 * price, "life_at_most": "24 months"}])
    result["parts"] = [{
        "cost": number(part["price"]) * get(part, "count", 1),
        "area": get(part, "life", math.inf),
        "age": months(part["life_at_most"]) if "life_at_most" in part else math.inf,
        "covered": part.get("covered", False),
    } for part in parts]  # fmt: skip
    repairs = e.get("repairs", {})
    result["law"] = None
    if "in_first_year" in repairs:
        result["law"] = number(repairs["in_first_year"]), get(repairs, "wear", 1)
        result["repair_cost"] = number(repairs["cost"], mean=True)
    result["repair_share"] = 0.06 * price / 12
    result["down_covered"] = get(repairs, "down_days_covered", 3)
    result["down_uncovered"] = get(repairs, "down_days_uncovered", 6)


def read_film(s, film, result):
    """The roll, and the length of film and of supplier's sheet a piece of each product takes."""
    width, length = size(film["roll"])
    result |= {"roll_length": length, "roll_area": width * length}
    result |= filled(film, {"roll_price": None, "roll_ends": "3 m", "run_ends": "48 in", "runs": 1})
    usable = width - 2 * get(film, "margin", "0.5 in")
    gap, turn = get(film, "gap", "0.3 in"), film.get("may_turn", False)
    result["film"], result["sheet"] = [], []
    for p in s["products"]:
        result["film"].append(strip_length(p, usable, gap, turn) / p["per_order"])
        sheet = strip_length(p, s["sheet_width"], s["sheet_gap"], True) if s["has_today"] else 0.0
        result["sheet"].append(sheet / p["per_order"])


# ---------------------------------------------------------------- layout (section 2)
def strip_length(product, usable, gap, turn):
    """Length of one order on one strip: first fit, tallest first, every way round tried."""
    best = math.inf
    for ways in itertools.product((False, True) if turn else (False,), repeat=len(product["prints"])):
        pieces = []
        for turned, (width, height) in zip(ways, product["prints"], strict=True):
            across, along = (height, width) if turned else (width, height)
            pieces += [(along, across)] * round(product["per_order"])
        pieces.sort(reverse=True)
        best = min(best, shelves_length(pieces, usable, gap))
    if best == math.inf:
        raise ValueError(f"{product['name']}: wider than the film or sheet")
    return best


def shelves_length(pieces, usable, gap):
    room, length = [], 0.0
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
RUNNING = (
    "sales lost_sales garments ink film powder bought_in delivery labour energy payment_fees "
    "packing supplies insurance wear_parts repairs overheads"
).split()
CAPITAL = "equipment sales_tax start_up warranty first_fill stock replacements".split()
FINANCING = "debt_drawn fees principal interest lease_payments lease_purchase deposit".split()
WORKING = ["receivables", "payables"]
END = ["working_capital_returned", "resale", "tax_on_resale"]
LEDGER = [*RUNNING, *CAPITAL, *FINANCING, *WORKING, "tax", *END]
FLAT = {"prices": 1.0, "costs": 1.0, "wages": 1.0, "buy_in": 1.0}
PLAN = {"k": 1.0, "added": 1.0, "price": 1.0}  # volume, share of added work, price factor
TODAY = {"k": 1.0, "added": 0.0, "price": 1.0}


def grown(s, t):
    return {name: (1 + rate) ** ((t - 1) / 12) for name, rate in s["growth"].items()}


def is_closed(s, t):
    return s["start"] + t - 1 in s["closed"]


def pieces_wanted(s, p, t, case, machine):
    """Pieces of a product in month t; without the machine, less what cannot be bought in."""
    if is_closed(s, t):
        return 0.0
    share = 1.0
    if s["ramp_months"] > 0:
        share = min(1.0, s["start_share"] + (1 - s["start_share"]) * (t - 1) / s["ramp_months"])
    season = p["season"][(s["start"] + t - 1) % 12] / (sum(p["season"]) / 12)
    growth = (1 + s["growth"]["volume"]) ** ((t - 1) / 12)
    return steady_pieces(s, p, case, machine, share) * growth * season


def steady_pieces(s, p, case, machine, share=1.0):
    added = share * case["added"] * (p["planned"] - p["today"])
    if not machine:
        added *= 1 - p["needs"]
    return case["k"] * (p["today"] + added) * s["weeks"]


def could_buy(s, wanted, without):
    """Share of each product's pieces that bought-in transfers could serve."""
    if not s["has_today"]:
        return [0.0] * len(wanted)
    return [min(1.0, m / n) if n > 0 else 0.0 for n, m in zip(wanted, without, strict=True)]


def rejects(s, t):
    early = max(0.0, 1 - (t - 1) / s["ramp_months"]) if s["ramp_months"] > 0 else 0.0
    return s["transfers"] + max(0.0, s["spoilage_at_start"] - s["transfers"]) * early


def hours_of(s, rows):
    """Hours by kind for rows of product, pieces sold, transfers printed, transfers bought."""
    work = s["labour"]
    kinds = dict.fromkeys(
        ("artwork", "set_up", "tending", "cutting", "pressing", "peel_wait", "care"), 0.0
    )
    for p, sold, printed, bought in rows:
        orders, count = sold / p["per_order"], len(p["prints"])
        pressed = sold * p["tries"] * count if p["pressed"] else 0.0
        kinds["artwork"] += orders * work["new_designs"] * work["artwork"]
        kinds["set_up"] += orders * (1 + s["redone"]) * work["order_setup"]
        kinds["tending"] += printed * p["area"] * work["tending"]
        kinds["cutting"] += (printed + bought) * count * work["cutting"]
        kinds["pressing"] += pressed * work["pressing"]
        kinds["peel_wait"] += pressed * work["peel_wait"]
    return kinds


def care(s, flushes, closed=False):
    """Open days, hours of care, litres lost, in a month in which the machine stands ready."""
    open_days, weeks = (0.0, 0.0) if closed else (s["days"], s["weeks"])
    hours = open_days * s["labour"]["daily"] + weeks * s["labour"]["weekly"]
    lost = open_days * s["daily_loss"] + (DAYS_IN_MONTH - open_days) * s["closed_day_loss"]
    return open_days, hours + flushes * s["stop"]["time"], lost + flushes * s["stop"]["ink"]


def usual_flushes(s):
    """Long-stop flushes of an open month: the closed weeks of the year, spread."""
    return max(0.0, 52 - s["open_weeks"]) / 12 if s["stop"]["after"] <= 7 else 0.0


def flushes_in(s, t):
    if not is_closed(s, t):
        return usual_flushes(s)
    return 0.0 if is_closed(s, t - 1) else 1.0


def share_served(s, e, pieces, q, care_hours):
    """Capacity over load at the fullest station, at most 1."""
    made = [n * p["tries"] / (1 - q) for n, p in zip(pieces, s["products"], strict=True)]
    rows = [(p, n, m, 0.0) for p, n, m in zip(s["products"], pieces, made, strict=True)]
    kinds, area = hours_of(s, rows), dot(made, s["products"], "area")
    open_hours = s["open_hours"] * s["days"] * s["efficiency"]
    stations = [
        (area / e["speed"], open_hours),
        (area / e["dryer_speed"], open_hours),
        (kinds["pressing"] / e["presses"], open_hours),
        (sum(kinds.values()) + care_hours, s["staff_hours"] * s["weeks"] * s["efficiency"]),
    ]
    return min(1.0, *(capacity / load for load, capacity in stations if load > 0))


def dot(pieces, products, *keys):
    return sum(n * math.prod(p[k] for k in keys) for n, p in zip(pieces, products, strict=True))


def buy_transfers(s, e, pieces, orders, rise=1.0, hurry=False):
    """Cost of transfers and of their delivery; price breaks by area an order."""
    area = dot(pieces, s["products"], "tries", "area")
    if s["buy_by"] == "sheet":
        lengths = dot([n * one for n, one in zip(pieces, e["sheet"], strict=True)],
                      s["products"], "tries")  # fmt: skip
        area = lengths * s["sheet_width"]
    if area <= 0:
        return 0.0, 0.0
    price = s["buy_in_price"]
    for start, lower in s["breaks"]:
        if area / orders >= start - 1e-12:
            price = lower
    cost = area * price * rise * (1 + (s["hurry_extra"] if hurry else 0))
    free = cost / orders >= s["delivery_free_from"]
    return cost, 0.0 if free else orders * s["delivery"] * rise


def ink_used(s, wet_area, litres_lost):
    """Money for ink in prints and losses, and for what is thrown away, bottle by bottle."""
    white = wet_area * s["rate"]["white"] + litres_lost * s["white_share"]
    colour = wet_area * s["rate"]["colour"] + litres_lost * (1 - s["white_share"])
    least = s["pack"] / s["keeps"]
    thrown = max(0.0, least - white) * s["white_price"]
    thrown += s["colours"] * max(0.0, least - colour / s["colours"]) * s["colour_price"]
    return wet_area * s["ink_area"] + litres_lost * s["liquid"], thrown


def energy_used(s, e, area, pressing, printing_days, runs):
    """Kilowatt-hours of a month."""
    kwh = pressing * e["press"]
    if runs:
        print_hours, dry_hours = area / e["speed"], area / e["dryer_speed"]
        kwh += print_hours * e["printer"] + (DAYS_IN_MONTH * 24 - print_hours) * e["idle"]
        kept_on = max(e["dryer_on"] * printing_days, dry_hours)
        kwh += (kept_on + e["warm_up"] * printing_days) * e["dryer"]
    return kwh


def month(
    s, e, wanted, could, *, runs, closed=False, flushes=0.0, q=0.0, up=FLAT, down_days=0.0, price=1.0
):
    """Money lines and quantities of one month; repairs and wear parts come with the ledger.

    Of pieces `wanted`, the share `could` of what is not printed here is served with transfers.
    """
    products, line = s["products"], dict.fromkeys(RUNNING, 0.0)
    open_days, care_hours, litres_lost = care(s, flushes, closed) if runs else (0.0, 0.0, 0.0)
    down = min(1.0, down_days / open_days) if open_days else 0.0
    served = 0.0
    if runs:
        served = share_served(s, e, [n * (1 - down) for n in wanted], q, care_hours)
    here = (1 - down) * served
    bought = [n * (1 - here) * share for n, share in zip(wanted, could, strict=True)]
    sold = [n * here + more for n, more in zip(wanted, bought, strict=True)]
    printed = [n * here * p["tries"] / (1 - q) for n, p in zip(wanted, products, strict=True)]
    area, wet = dot(printed, products, "area"), dot(printed, products, "area", "wet")
    printing_days = open_days * (1 - down) if area > 0 else 0.0
    film = sum(n * one for n, one in zip(printed, e["film"], strict=True))
    film += e["run_ends"] * e["runs"] * printing_days
    ink, thrown = ink_used(s, wet, litres_lost) if runs else (0.0, 0.0)
    transfers = [n * p["tries"] for n, p in zip(bought, products, strict=True)]
    kinds = hours_of(s, zip(products, sold, printed, transfers, strict=True))
    kinds["care"] = care_hours
    kwh = energy_used(s, e, area, kinds["pressing"], printing_days, runs)
    orders = sum(n / p["per_order"] for n, p in zip(sold, products, strict=True))
    hours, full = sum(kinds.values()), dot(wanted, products, "price") * price * up["prices"]
    paid = dot(sold, products, "price") * price * up["prices"]
    line["sales"], line["lost_sales"] = full, paid - full
    line["garments"] = -dot(sold, products, "tries", "garment") * up["costs"]
    line["ink"] = -(ink + thrown) * up["costs"]
    line["film"] = -film / (e["roll_length"] - e["roll_ends"]) * e["roll_price"] * up["costs"]
    line["powder"] = -wet * s["powder_area"] * up["costs"]
    if sum(bought) > 0:
        asked = dot(wanted, products, "tries", "area")
        share = dot(bought, products, "tries", "area") / asked
        cost = buy_transfers(s, e, bought, share * s["orders"] * s["weeks"], up["buy_in"], runs)
        line["bought_in"], line["delivery"] = -cost[0], -cost[1]
    line["labour"] = -max(0.0, hours - s["free_hours"]) * s["wage"] * up["wages"]
    line["energy"] = -kwh * s["electricity"] * up["costs"]
    line["payment_fees"] = -paid * s["payment_fee"] - orders * s["payment_fee_each"] * up["costs"]
    line["packing"] = -orders * (1 + s["redone"]) * s["packing"] * up["costs"]
    line["supplies"] = -e["supplies"] * up["costs"] if runs else 0.0
    line["overheads"] = -s["overheads_paid"] * up["costs"]
    purchases = "garments ink film powder bought_in delivery".split()
    return line, {
        "pieces": sum(wanted), "down": down, "served": served, "bought": bought, "sold": sold,
        "area": area, "film": film, "thrown": thrown, "hours": hours, "kinds": kinds, "kwh": kwh,
        "paid": paid, "purchases": -sum(line[name] for name in purchases),
    }  # fmt: skip


def repairs_in(s, e, w, t):
    """Repair money at month-1 prices and down days in month t."""
    age = t - s["runs_from"]
    if age <= 0:
        return 0.0, 0.0
    covered = age <= w["term"]
    days = e["down_covered"] if covered else e["down_uncovered"]
    if e["law"] is None:
        return (0.0 if covered else e["repair_share"]), days / 12
    first, power = e["law"]
    expected = first * ((age / 12) ** power - ((age - 1) / 12) ** power)
    return expected * (w["deductible"] if covered else e["repair_cost"]), expected * days


# ---------------------------------------------------------------- running lines, month by month
def running(s, e, w, case, machine):
    """Running columns and quantities, months 0 to H, with the machine or without it."""
    columns = {name: [0.0] * (s["horizon"] + 1) for name in RUNNING}
    notes = [{}]
    worn = [{"area": 0.0, "age": 0} for _ in e["parts"]]
    for t in range(1, s["horizon"] + 1):
        runs = machine and t > s["runs_from"]
        up = grown(s, t)
        wanted = [pieces_wanted(s, p, t, case, runs) for p in s["products"]]
        without = [pieces_wanted(s, p, t, case, False) for p in s["products"]]
        repair, days = repairs_in(s, e, w, t) if runs else (0.0, 0.0)
        line, note = month(
            s, e, wanted, could_buy(s, wanted, without), runs=runs, closed=is_closed(s, t),
            flushes=flushes_in(s, t), q=rejects(s, t), up=up, down_days=days, price=case["price"],
        )  # fmt: skip
        line["repairs"] = -repair * up["costs"]
        if machine:
            line["insurance"] = -e["insurance"] * up["costs"]
            line["overheads"] -= s["overheads"] * up["costs"]
        if runs:
            for part, wear in zip(e["parts"], worn, strict=True):
                sets = sets_replaced(part, wear, note["area"])
                free = part["covered"] and t - s["runs_from"] <= w["term"]
                if t < s["horizon"] and not free:
                    line["wear_parts"] -= sets * part["cost"] * up["costs"]
        for name in RUNNING:
            columns[name][t] = line[name]
        notes.append(note)
    return columns, notes


def sets_replaced(part, wear, area):
    """Sets of a wear part changed in a running month; moves its area and age on."""
    wear["area"] += area
    wear["age"] += 1
    sets = math.floor(wear["area"] / part["area"])
    if sets > 0:
        wear["area"] -= sets * part["area"]
        wear["age"] = 0
    elif wear["age"] >= part["age"]:
        wear["area"], wear["age"], sets = 0.0, 0, 1
    return sets


def working_capital(s, e, notes, case):
    """Changes of receivables and payables, and what returns at H (without stock)."""
    wanted = [case["k"] * p["today"] * s["weeks"] for p in s["products"]]
    _, opening = month(s, e, wanted, could_buy(s, wanted, wanted), runs=False, price=case["price"])
    owed = [note["paid"] * s["receivable"] for note in (opening, *notes[1:])]
    owing = [note["purchases"] * s["payable"] for note in (opening, *notes[1:])]
    receivables = [0.0] + [before - after for before, after in itertools.pairwise(owed)]
    payables = [0.0] + [after - before for before, after in itertools.pairwise(owing)]
    return receivables, payables, owed[-1] - owing[-1]


# ---------------------------------------------------------------- items, resale (section 4)
def replacements(s, item):
    """Months before H in which the item's life ends, and the price without sales tax then."""
    count = math.ceil(s["horizon"] / item["life"] - 1e-9)
    at = [math.ceil(n * item["life"] - 1e-9) for n in range(1, count)]
    return [(m, item["price"] * grown(s, m)["costs"]) for m in at]


def first_worth(item, t):
    """Resale value after t months of the item bought at signing."""
    return item["price"] * item["share"] ** (t / item["after"])


def first_set_worth(e, t):
    return sum(first_worth(item, t) for item in e["items"])


def set_worth(s, e, t):
    """Resale value at the end of month t, of the items that stand there then."""
    worth = 0.0
    for item in e["items"]:
        standing = [(0, item["price"]), *replacements(s, item)]
        bought, price = [row for row in standing if row[0] <= t][-1]
        worth += price * item["share"] ** ((t - bought) / item["after"])
    return worth


# ---------------------------------------------------------------- ways to pay (section 5)
def annuity(rate, n):
    return n if rate == 0 else (1 - (1 + rate) ** -n) / rate


def present_value(flows, rate):
    return sum(x / (1 + rate) ** t for t, x in enumerate(flows))


def solve_rate(flows):
    """Rate a month at which flows, first in then out, have no present value."""
    return bisect(lambda i: present_value(flows, i), -0.5, 1.0)


def bisect(f, low, high):
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


def finance(s, e, w, f):
    """Flows of a way to pay, months 0 to H, and what tax and the lender's tests need."""
    h = s["horizon"]
    result = {"kind": f["kind"], "flow": {name: [0.0] * (h + 1) for name in FINANCING},
              "payment": None, "apr": None, "rate": None, "balance": None, "taxed": False,
              "service": [0.0] * (h + 1), "deduct": [0.0] * (h + 1), "settled": 0.0,
              "conditional": False}  # fmt: skip
    if f["kind"] == "cash":
        return result
    result["taxed"] = f["kind"] == "lease" and get(f, "sales_tax", 0) > 0
    parts = {
        "equipment": e["price"] * (1 if result["taxed"] else 1 + e["sales_tax"]),
        "start-up": e["start_up"], "first fill": s["first_fill"] * s["liquid"],
        "stock": s["stock"], "warranty": w["price"],
    }  # fmt: skip
    down = get(f, "down_payment", "20 %" if f["kind"] == "loan" else 0)
    financed = sum(parts[name] for name in f.get("covers", ["equipment"])) * (1 - down)
    result["flow"]["debt_drawn"][0] = financed
    n = round(months(f["term"]))
    if f["kind"] == "loan":
        loan(s, f, result, financed, n)
    else:
        lease(s, e, f, result, financed, n)
    return result


def loan(s, f, result, principal, n):
    """A level loan; what is left at H is settled then."""
    h, flow = s["horizon"], result["flow"]
    rate, fee = number(f["rate"]) / 12, get(f, "fee", 0)
    payment = principal / annuity(rate, n)
    flow["fees"][0], result["deduct"][0] = -fee, fee
    balance = principal
    result["balance"] = [balance] + [0.0] * h
    for t in range(1, min(n, h) + 1):
        interest = balance * rate
        flow["interest"][t], flow["principal"][t] = -interest, -(payment - interest)
        balance -= payment - interest
        result["balance"][t] = balance
        result["deduct"][t] = interest
        result["service"][t] = payment
    if n > h:
        result["settled"] = balance
        flow["principal"][h] -= balance
        result["balance"][h] = 0.0
    result["payment"], result["rate"] = payment, rate * 12
    result["apr"] = 12 * solve_rate([principal - fee] + [-payment] * n)


def purchase_price(e, f, n):
    """What the goods of a lease cost at its end, before tax."""
    end = f["at_end"]
    if end == "market":
        return first_set_worth(e, n)
    if not isinstance(end, dict):
        raise NotImplementedError("a lease with return or renewal")
    share = isinstance(end["buy"], str) and "%" in end["buy"]
    return number(end["buy"]) * (e["price"] if share else 1)


def lease(s, e, f, result, financed, n):
    if n > s["horizon"]:
        raise NotImplementedError("a lease beyond the horizon")
    flow, before, buy = result["flow"], number(f["payment"]), purchase_price(e, f, n)
    tax = 1 + (get(f, "sales_tax", 0) if result["taxed"] else 0)
    advance = int(f.get("advance_payments", 0))
    if f.get("due") == "start":
        advance = max(1, advance)
    fee, deposit = get(f, "document_fee", 0), get(f, "deposit", 0)
    flow["fees"][0] = -fee
    flow["deposit"][0] -= deposit
    flow["deposit"][n] += deposit
    plain = [financed] + [0.0] * n
    for t in [0] * advance + list(range(1, n - advance + 1)):
        plain[t] -= before
        flow["lease_payments"][t] -= before * tax
    plain[n] -= buy
    flow["lease_purchase"][n] = -buy * tax
    result["service"][1 : n + 1] = [before * tax] * n
    result |= {"payment": before * tax, "buy_month": n, "buy_price": buy * tax,
               "conditional": buy <= 0.5 * first_set_worth(e, n), "rate": 12 * solve_rate(plain),
               "apr": 12 * solve_rate([plain[0] - fee] + plain[1:])}  # fmt: skip
    deduct_lease(result, plain, fee, tax - 1, buy)


def deduct_lease(result, plain, fee, tax, buy):
    """A true lease: what is paid. A conditional sale: interest, fee, and tax on payments."""
    paid = [-x for x in result["flow"]["lease_payments"]]
    balance, n = 0.0, result["buy_month"]
    for t in range(n + 1):
        deducted = paid[t]
        if result["conditional"]:
            interest = balance * result["rate"] / 12
            balance += interest + plain[t]
            deducted = interest + paid[t] * tax / (1 + tax) + (buy * tax if t == n else 0)
        result["deduct"][t] = deducted + (fee if t == 0 else 0)


# ---------------------------------------------------------------- tax (section 6)
def assets(s, e, way):
    """What is written off: (cost, from month, over months)."""
    rows = []
    lessor_owns = way["kind"] == "lease" and not way["conditional"]
    for item in e["items"]:
        price = 0.0 if lessor_owns else item["price"] * (1 if way["taxed"] else 1 + e["sales_tax"])
        rows.append((e["start_up"] * item["price"] / e["price"] + price, 0, item["life"]))
        if lessor_owns:
            n = way["buy_month"]
            cost = way["buy_price"] * first_worth(item, n) / first_set_worth(e, n)
            rows.append((cost, n, max(0, item["life"] - n)))
        for m, cost in replacements(s, item):
            rows.append((cost * (1 + e["sales_tax"]), m, item["life"]))
    return rows


def written_off(s, rows):
    """Straight-line depreciation by month and the book value left at H."""
    off, book = [0.0] * (s["horizon"] + 1), 0.0
    for cost, first, life in rows:
        left = cost
        if life <= 0:
            off[first] += cost
            continue
        for t in range(first + 1, s["horizon"] + 1):
            part = min(cost / life, left)
            off[t] += part
            left -= part
        book += left
    return off, book


def deductions(s, e, w, way):
    """All that is deducted beside running costs, by month, and the book value at H."""
    off, book = written_off(s, assets(s, e, way))
    off = [x + y for x, y in zip(off, way["deduct"], strict=True)]
    off[0] += s["first_fill"] * s["liquid"]
    left = w["price"]
    for t in range(s["runs_from"] + 1, s["horizon"] + 1):
        part = min(w["price"] / w["term"], left) if w["term"] else 0.0
        off[t] += part
        left -= part
    off[-1] += left
    return off, book


def taxes(s, profit):
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
def series(columns, names):
    return [sum(columns[name][t] for name in names) for t in range(len(columns["sales"]))]


def less(ours, *others):
    return [x - sum(ys) for x, *ys in zip(ours, *others, strict=True)]


def start_ledger(s, e, w, case, machine):
    columns = {name: [0.0] * (s["horizon"] + 1) for name in LEDGER}
    lines, notes = running(s, e, w, case, machine)
    columns |= lines
    columns["receivables"], columns["payables"], returned = working_capital(s, e, notes, case)
    columns["working_capital_returned"][-1] = returned
    return columns, notes


def plan(s, e, w, way, case):
    """Every column of a choice, months 0 to H; `way` is what finance() gives."""
    columns, notes = start_ledger(s, e, w, case, True)
    columns |= way["flow"]
    columns["equipment"][0] = -e["price"]
    columns["sales_tax"][0] = 0.0 if way["taxed"] else -e["price"] * e["sales_tax"]
    columns["start_up"][0] = -e["start_up"]
    columns["warranty"][0] = -w["price"]
    columns["first_fill"][0] = -s["first_fill"] * s["liquid"]
    columns["stock"][0] = -s["stock"]
    for item in e["items"]:
        for m, price in replacements(s, item):
            columns["replacements"][m] -= price * (1 + e["sales_tax"])
    columns["resale"][-1] = set_worth(s, e, s["horizon"])
    columns["working_capital_returned"][-1] += s["stock"]
    if s["tax"]:
        off, book = deductions(s, e, w, way)
        profit = less(series(columns, RUNNING), off)
        columns["tax"] = taxes(s, profit)
        profit[-1] += columns["resale"][-1] - book
        columns["tax_on_resale"][-1] = taxes(s, profit)[-1] - columns["tax"][-1]
    columns["net"] = series(columns, LEDGER)
    return columns, notes


def without(s, e, w, case):
    """Every column of what the shop does if it signs nothing."""
    columns, notes = start_ledger(s, e, w, case, False)
    if s["tax"]:
        columns["tax"] = taxes(s, series(columns, RUNNING))
    columns["net"] = series(columns, LEDGER)
    return columns, notes


def compared(s, e, w, way):
    """Ledger of the choice and the ledger it is compared with, in the three comparisons."""
    today, whole = plan(s, e, w, way, TODAY)[0], plan(s, e, w, way, PLAN)[0]
    nothing, bought = without(s, e, w, TODAY)[0], without(s, e, w, PLAN)[0]
    return {"today_only": (today, nothing), "against_buying_in": (whole, bought),
            "whole_plan": (whole, nothing)}  # fmt: skip


def difference(pair, names):
    return less(series(pair[0], names), series(pair[1], names))


BEFORE_END = [name for name in LEDGER if name not in END]


# ---------------------------------------------------------------- figures (section 7)
def payback(flows):
    """First time after which the running sum stays at or above 0, in months."""
    sums = list(itertools.accumulate(flows))
    below = [t for t, x in enumerate(sums) if x < -1e-9]
    if not below:
        return 0.0
    last = below[-1]
    if last == len(flows) - 1:
        return None
    return last - sums[last] / flows[last + 1]


def internal_rates(flows):
    """All rates a year above -99 % at which the flows have no present value."""

    def value(factor):
        return present_value(flows, factor ** (1 / 12) - 1)

    grid = [0.01 * 10 ** (n / 250) for n in range(2001)]
    pairs = itertools.pairwise([(factor, value(factor)) for factor in grid])
    return [bisect(value, low, high) - 1 for (low, x), (high, y) in pairs if (x < 0) != (y < 0)]


def modified_rate(flows, rate):
    h = len(flows) - 1
    put_in = sum(-x / (1 + rate) ** t for t, x in enumerate(flows) if x < 0)
    taken = sum(x * (1 + rate) ** (h - t) for t, x in enumerate(flows) if x > 0)
    return (taken / put_in) ** (12 / h) - 1 if put_in > 0 and taken > 0 else None


def lowest_root(f, high, steps=100):
    """Lowest point of 0..high at which f reaches 0 from below; None if there is none."""
    if f(0.0) >= 0:
        return 0.0
    for n in range(1, steps + 1):
        if f(high * n / steps) >= 0:
            return bisect(f, high * (n - 1) / steps, high * n / steps)
    return None


def lowest_staying(f, high, steps=200):
    """Lowest point of 0..high from which f stays at or above 0; None if there is none."""
    if f(high) < 0:
        return None
    for n in range(steps - 1, -1, -1):
        if f(high * n / steps) < 0:
            return bisect(f, high * n / steps, high * (n + 1) / steps)
    return 0.0


def wear_accrued(e, area):
    return sum(part["cost"] * max(area / part["area"], 1 / part["age"]) for part in e["parts"])


def steady(s, e, w, case):
    """A month with ramp, season and growth 1, month-1 prices; mean repairs, accrued wear."""
    h = s["horizon"]
    wanted = [steady_pieces(s, p, case, True) for p in s["products"]]
    other = [steady_pieces(s, p, case, False) for p in s["products"]]
    repairs = [repairs_in(s, e, w, t) for t in range(1, h + 1)]
    line, note = month(s, e, wanted, could_buy(s, wanted, other), runs=True, q=s["transfers"],
                       flushes=usual_flushes(s), down_days=sum(days for _, days in repairs) / h,
                       price=case["price"])  # fmt: skip
    line["repairs"] = -sum(money for money, _ in repairs) / h
    line["insurance"] = -e["insurance"]
    line["overheads"] -= s["overheads"]
    line["wear_parts"] = -wear_accrued(e, note["area"])
    return line, note


def capacity_limit(s, e, w, key):
    """The largest `k` or `added` at which a steady month is served in full."""

    def spare(x):
        return steady(s, e, w, PLAN | {key: x})[1]["served"] - 1

    high = 1.0
    while spare(high) >= 0 and high < 1e6:
        high *= 2
    return bisect(spare, 0.0, high) if spare(0.0) >= 0 else 0.0


def equivalent_monthly_cost(s, e, w):
    rate, h = s["monthly"], s["horizon"]
    outlay = e["price"] * (1 + e["sales_tax"]) + e["start_up"] + w["price"]
    outlay += s["first_fill"] * s["liquid"]
    for item in e["items"]:
        for m, price in replacements(s, item):
            outlay += price * (1 + e["sales_tax"]) / (1 + rate) ** m
    return (outlay - set_worth(s, e, h) / (1 + rate) ** h) / annuity(rate, h)


def made_less_bought(s, e, w):
    """A function of k: money a month that making the planned transfers saves against buying."""
    fixed = equivalent_monthly_cost(s, e, w) + e["insurance"] + s["overheads"] + e["supplies"]
    fixed -= steady(s, e, w, PLAN)[0]["repairs"]

    def saved(k):
        wanted = [k * p["planned"] * s["weeks"] for p in s["products"]]
        line, note = month(s, e, wanted, [1.0] * len(wanted), runs=True, q=s["transfers"],
                           flushes=usual_flushes(s))  # fmt: skip
        kinds = note["kinds"]
        made = fixed - sum(line[name] for name in ("ink", "film", "powder", "energy"))
        made -= kinds["pressing"] * e["press"] * s["electricity"]
        made += s["wage"] * sum(kinds[kind] for kind in ("tending", "cutting", "care"))
        made += wear_accrued(e, note["area"])
        bought = sum(buy_transfers(s, e, wanted, s["orders"] * s["weeks"]))
        for n, p in zip(wanted, s["products"], strict=True):
            bought += n * p["tries"] * len(p["prints"]) * s["labour"]["cutting"] * s["wage"]
        return bought - made

    return saved


def added_value(s, e, w, **change):
    """NPV of comparison B before financing when volume or added work is changed."""
    case, cash = PLAN | change, finance(s, e, w, {"kind": "cash"})
    flows = less(plan(s, e, w, cash, case)[0]["net"], without(s, e, w, case)[0]["net"])
    return present_value(flows, s["monthly"])


def machine_figures(s, e, w):
    """What does not hang on the way to pay: figures, and lines beside them."""
    rate, limit = s["monthly"], capacity_limit(s, e, w, "k")
    area = sum(p["planned"] * p["area"] for p in s["products"])
    pairs = compared(s, e, w, finance(s, e, w, {"kind": "cash"}))
    headline = difference(pairs["against_buying_in"], LEDGER)
    added = lowest_root(lambda x: added_value(s, e, w, added=x), capacity_limit(s, e, w, "added"))
    make = by_value = None
    if s["has_today"]:
        make = lowest_staying(made_less_bought(s, e, w), limit)
        by_value = lowest_staying(lambda k: added_value(s, e, w, k=k), limit)
    found = before_financing(s, pairs) | {
        "modified_rate_of_return": modified_rate(headline, rate),
        "profitability_index": 1 + present_value(headline, rate) / -headline[0],
        "added_work_needed": added,
        "margin_of_safety": None if added is None else 1 - added,
        "make_or_buy_area_per_week": None if make is None else make * area,
    }
    every_hour = s | {"free_hours": 0.0}
    paid = compared(every_hour, e, w, finance(s, e, w, {"kind": "cash"}))
    paid = before_financing(every_hour, paid)
    wanted = [steady_pieces(s, p, PLAN, False) for p in s["products"]]
    other = month(s, e, wanted, could_buy(s, wanted, wanted), runs=False)[1]["hours"]
    lines = {
        "every_hour_paid": {key: paid[key] for key in ("payback_months", "net_present_value")},
        "make_or_buy_area_by_value": None if by_value is None else by_value * area,
        "hours_per_week": {"with": steady(s, e, w, PLAN)[1]["hours"] / s["weeks"],
                           "without": other / s["weeks"]},
        "equivalent_monthly_cost": equivalent_monthly_cost(s, e, w), "capacity_factor": limit,
        "before_financing": pairs["against_buying_in"][0],
    }  # fmt: skip
    return found, lines


def before_financing(s, pairs):
    """Payback, NPV and internal rates of the three comparisons, bought for cash."""
    out = {key: {} for key in ("payback_months", "discounted_payback_months",
                               "net_present_value", "internal_rates_of_return")}  # fmt: skip
    for name, pair in pairs.items():
        flows, until_end = difference(pair, LEDGER), difference(pair, BEFORE_END)
        discounted = [x / (1 + s["monthly"]) ** t for t, x in enumerate(until_end)]
        out["payback_months"][name] = payback(until_end)
        out["discounted_payback_months"][name] = payback(discounted)
        out["net_present_value"][name] = present_value(flows, s["monthly"])
        out["internal_rates_of_return"][name] = internal_rates(flows)
    return out


def financed_figures(s, e, w, way):
    """Figures of one choice that hang on the way to pay, and its lines."""
    pairs = compared(s, e, w, way)
    ours = pairs["whole_plan"][0]
    out = {"payback_own_cash_months": {}, "net_present_value_financed": {}}
    for name, pair in pairs.items():
        own = difference(pair, BEFORE_END)
        own[-1] += way["settled"]
        out["payback_own_cash_months"][name] = payback(own)
        value = present_value(difference(pair, LEDGER), s["monthly"])
        out["net_present_value_financed"][name] = value
    balance = cash_balance(s, own)  # the last is against today
    out["lowest_cash"], out["lowest_cash_month"] = min(balance), balance.index(min(balance))
    out["most_money_in"] = min(itertools.accumulate(own))
    out |= break_evens(s, e, w, way) | debt_service(s, pairs, way) | collateral(s, e, way)
    out["annual_percentage_rate"], out["payment_per_month"] = way["apr"], way["payment"]
    out["total_paid"] = -sum(ours[name][0] for name in CAPITAL) - sum(series(ours, FINANCING))
    out["present_cost_of_financing"] = present_cost(s, ours)
    lines = {"conditional_sale": way["conditional"], "rate_of_financing": way["rate"],
             "cash_balance": balance}  # fmt: skip
    return out, ours, pairs["against_buying_in"][1], lines


def break_evens(s, e, w, way):
    limit = capacity_limit(s, e, w, "k")
    pieces = sum(p["planned"] for p in s["products"])
    area = sum(p["planned"] * p["area"] for p in s["products"])
    owed = way["payment"] or equivalent_monthly_cost(s, e, w)

    def own_value(**change):
        return present_value(plan(s, e, w, way, PLAN | change)[0]["net"], s["monthly"])

    monthly = lowest_root(lambda k: sum(steady(s, e, w, PLAN | {"k": k})[0].values()) - owed, limit)
    lifetime = lowest_root(lambda k: own_value(k=k), limit)
    return {
        "break_even_pieces_per_week": None if monthly is None else monthly * pieces,
        "break_even_area_per_week": None if monthly is None else monthly * area,
        "lifetime_break_even_pieces_per_week": None if lifetime is None else lifetime * pieces,
        "break_even_price_factor": lowest_root(lambda x: own_value(price=x), 20.0),
    }


def cover(cash, service, h):
    """Cash flow over service by year; None in a year without debt."""
    years = []
    for first in range(1, h + 1, 12):
        span = range(first, min(first + 12, h + 1))
        owed = sum(service[t] for t in span)
        years.append(sum(cash[t] for t in span) / owed if owed > 1e-9 else None)
    return years


def debt_service(s, pairs, way):
    """Debt service cover in the three comparisons, of the project and of the whole shop."""
    h, headline = s["horizon"], "against_buying_in"
    debts = [sum(pay for pay, ends in s["debts"] if 1 <= t <= ends) for t in range(h + 1)]
    service = [x + y for x, y in zip(way["service"], debts, strict=True)]
    project, before, after = {}, {}, {}
    for name, pair in pairs.items():
        flow = difference(pair, [*RUNNING, *WORKING, "replacements"])
        taxed = difference(pair, [*RUNNING, *WORKING, "replacements", "tax"])
        project[name] = cover(taxed, way["service"], h)
        if s["shop_flow"] is not None:
            kept = s["shop_flow"] - s["owner_draw"]
            before[name] = cover([x + s["shop_flow"] / 12 for x in flow], service, h)
            after[name] = cover([x + kept / 12 for x in taxed], service, h)
    rows, shop = project[headline], None
    if s["shop_flow"] is not None:
        shop = {"before_tax": before, "after_tax_and_draw": after}
        measures = s["raw"].get("lender", {}).get("measures", "after tax and draw")
        rows = shop[measures.replace(" ", "_")][headline]
    return {
        "debt_service_cover_project_by_year": project, "debt_service_cover_shop_by_year": shop,
        "lowest_debt_service_cover": min((x for x in rows if x is not None), default=None),
    }  # fmt: skip


def cash_balance(s, own):
    """Balance at months 0 to H: own flow against today and the rest of the shop."""
    balance, rows = s["cash"], []
    for t, x in enumerate(own):
        balance += x
        if t > 0 and s["shop_flow"] is not None:
            balance += (s["shop_flow"] - s["owner_draw"]) / 12
            balance -= sum(pay for pay, ends in s["debts"] if t <= ends)
        rows.append(balance)
    return rows


def collateral(s, e, way):
    """The lender's share of resale value over a loan's balance; the shortfall if sold."""
    if not way["balance"]:
        return {"collateral_cover_lowest": None, "largest_shortfall_if_sold": None}
    counts = get(s["raw"].get("lender", {}), "counts", "50 %")
    owed = [(set_worth(s, e, t), x) for t, x in enumerate(way["balance"]) if x > 1e-6]
    return {"collateral_cover_lowest": min(worth * counts / x for worth, x in owed),
            "largest_shortfall_if_sold": max(0.0, *(x - worth for worth, x in owed))}  # fmt: skip


def present_cost(s, ours):
    """All but running lines and working capital, at the cost of debt after tax."""
    rates = [number(f["rate"]) for f in s["raw"].get("financing", []) if f["kind"] == "loan"]
    work = series(ours, RUNNING)
    flows = less(ours["net"], work, series(ours, WORKING), taxes(s, work))
    flows[-1] -= ours["working_capital_returned"][-1] - s["stock"]
    return -present_value(flows, (1 - s["tax"]) * (rates[0] if rates else s["hurdle"]) / 12)


# ---------------------------------------------------------------- cost of a print (section 2)
def overhead_per_area(s, e, w, good):
    """Costs that hang on no single print, by planned good area."""
    made = [steady_pieces(s, p, PLAN, True) * p["tries"] / (1 - s["transfers"])
            for p in s["products"]]  # fmt: skip
    printed = dot(made, s["products"], "area")
    open_days, care_hours, lost = care(s, usual_flushes(s))
    _, thrown = ink_used(s, dot(made, s["products"], "area", "wet"), lost)
    film = sum(n * one for n, one in zip(made, e["film"], strict=True))
    paid_film = film + e["run_ends"] * e["runs"] * open_days
    kwh = max(0.0, e["dryer_on"] * open_days - printed / e["dryer_speed"]) * e["dryer"]
    kwh += e["warm_up"] * open_days * e["dryer"]
    kwh += (DAYS_IN_MONTH * 24 - printed / e["speed"]) * e["idle"]
    shared = s["overheads"] + s["overheads_paid"] + e["supplies"] + e["insurance"]
    shared += lost * s["liquid"] + thrown + care_hours * s["wage"] + kwh * s["electricity"]
    shared += paid_film * e["roll_price"] / (e["roll_length"] - e["roll_ends"])
    shared -= film * e["roll_price"] / e["roll_length"]
    shared += wear_accrued(e, printed) - steady(s, e, w, PLAN)[0]["repairs"]
    return shared / good


def print_costs(s, e, w):
    """Cost of a piece of each product: material, full, full with equipment, and the parts."""
    good = sum(p["planned"] * p["area"] for p in s["products"]) * s["weeks"]
    overhead, machine = overhead_per_area(s, e, w, good), equivalent_monthly_cost(s, e, w) / good
    rows = []
    for p, length in zip(s["products"], e["film"], strict=True):
        made = p["tries"] / (1 - s["transfers"])
        area, hours = made * p["area"], hours_of(s, [(p, 1.0, made, 0.0)])
        kwh = area / e["speed"] * e["printer"] + area / e["dryer_speed"] * e["dryer"]
        parts = {
            "ink": area * p["wet"] * s["ink_area"],
            "powder": area * p["wet"] * s["powder_area"],
            "film": made * length * e["roll_price"] / e["roll_length"],
            "garment": p["tries"] * p["garment"],
            "labour": sum(hours.values()) * s["wage"],
            "energy": (kwh + hours["pressing"] * e["press"]) * s["electricity"],
            "payment_fee": s["payment_fee"] * p["price"] + s["payment_fee_each"] / p["per_order"],
            "packing": (1 + s["redone"]) * s["packing"] / p["per_order"],
            "overhead_share": overhead * p["area"],
        }
        full = sum(parts.values())
        rows.append({
            "product": p["name"], "full": full, "parts": parts,
            "material": sum(parts[key] for key in ("ink", "powder", "film", "garment")),
            "full_with_equipment": full + machine * p["area"],
        })  # fmt: skip
    return rows


# ---------------------------------------------------------------- all choices
def choices_of(s, e, w):
    """Every way to pay for one set with one warranty."""
    ways = s["raw"].get("financing", [])
    if not any(f["kind"] == "cash" for f in ways):
        ways = [*ways, {"name": "cash", "kind": "cash"}]
    machine, beside = machine_figures(s, e, w)
    beside["monthly"] = running(s, e, w, PLAN, True)[1]
    beside["monthly_without"] = running(s, e, w, PLAN, False)[1]
    for f in ways:
        if f.get("equipment", e["name"]) == e["name"]:
            found, ledger, other, lines = financed_figures(s, e, w, finance(s, e, w, f))
            yield {"equipment": e["name"], "warranty": w["name"],
                   "financing": f.get("name", f["kind"]), "figures": machine | found,
                   "ledger": ledger, "without": other, "lines": beside | lines}  # fmt: skip


def calculate(path):
    s = read_scenario(path)
    first = s["equipment"][0]
    layout = [{
        "equipment": e["name"], "product": p["name"], "film_per_order": film * p["per_order"],
        "sheet_per_order": sheet * p["per_order"],
    } for e in s["equipment"]
      for p, film, sheet in zip(s["products"], e["film"], e["sheet"], strict=True)]  # fmt: skip
    return {
        "choices": [c for e in s["equipment"] for w in e["warranty"] for c in choices_of(s, e, w)],
        "prints": print_costs(s, first, first["warranty"][0]),
        "lines": {"rates": s["rate"], "ink_cost_per_area": s["ink_area"], "layout": layout,
                  "powder_cost_per_area": s["powder_area"], "liquid_price": s["liquid"]},
    }  # fmt: skip


if __name__ == "__main__":
    print(json.dumps(calculate(sys.argv[1]), indent=1))
