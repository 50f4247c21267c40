"""What a reader is told: defaults, costs left out, keys not used yet, doubts."""

from collections.abc import Callable
from pathlib import Path

import pytest

from planner.scenario.fields import keys
from planner.scenario.load import load
from planner.scenario.notices import LEFT_OUT, costs_left_out, defaults_in_words, doubts
from planner.scenario.schema import Scenario

Load = Callable[..., Scenario]
SCENARIOS = Path(__file__).parents[2] / "scenarios"
TEE, SET, LOAN = 'products."Tee"', 'equipment."Set"', 'financing."Bank loan"'
LEASE = {"kind": "lease", "payment": "352 USD/month", "term": "48 months", "at_end": {"buy": 1}}
# A sheet and a season that raise no doubt.
SHEET = (
    "design,width [in],height [in],copies,white [mL],colour [mL],before powder [g],"
    "after powder [g]\n" + "Crest,10,12,2,5.5,2.5,20,21.6\n" * 5
)
READY = {
    "shop.season": [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12],
    f"{SET}.in_place": ["extraction", "dryer circuit", "humidity control"],
}


def starting(lines: tuple[str, ...], key: str) -> list[str]:
    """The lines of a key, without it."""
    return [line.removeprefix(f"{key}: ") for line in lines if line.startswith(f"{key}: ")]


def test_every_default_in_use_is_said_with_its_value(loaded: Load) -> None:
    lines = defaults_in_words(loaded())
    for line in (
        "hurdle_rate: 15 %/year",
        "shop.open_days: 5 day/week",
        "today.buy_in_by: picture",
        f"{TEE}.pieces_per_order: 6",
        f"{TEE}.pressed: true",
        "ink.long_stop.ink: 80 mL",
        "film.may_turn: false",
        f'{SET}.warranty."Included, 12 months".term: 12 months',
        f"{LOAN}.covers: equipment",
        "lender.measures: after tax and draw",
    ):
        assert line in lines


def test_a_default_that_is_written_is_no_longer_one(loaded: Load) -> None:
    lines = defaults_in_words(loaded(changes={"film.gap": "0.3 in", "film.may_turn": False}))
    assert not starting(lines, "film.gap")
    assert not starting(lines, "film.may_turn")
    assert starting(lines, "film.margin") == ["0.5 in"]


def test_defaults_that_follow_from_other_inputs(loaded: Load) -> None:
    lines = defaults_in_words(loaded())
    for key, said in {
        "shop.season": "the same in every month",
        f"{TEE}.needs_machine": "0 %, since bought-in transfers have a price",
        f"{SET}.dryer_speed": "the printer's",
        f"{SET}.idle_power": "3 % of printer and dryer power",
        f"{SET}.supplies": "4 %/year of the price",
        f"{SET}.wear_parts": "8 % of the price each 24 months",
        f"{SET}.repairs": "6 %/year of the price after the warranty; "
        "down 3 days a year under it, 6 after it",
        f"{SET}.start_up": "15 % of the price, 24 hours of training and 60 ft^2 of practice prints",
        f"{SET}.price": "for one thing with a life of 5 years, worth 20 % of it after 36 months",
        f"{LOAN}.down_payment": "20 % of what the loan covers",
        "conditions.pays_back_within": "the horizon, 60 months",
    }.items():
        assert starting(lines, key) == [said]


def test_what_is_given_is_not_derived(loaded: Load) -> None:
    given = loaded(
        changes=READY
        | {
            f"{TEE}.needs_machine": "5 %",
            f"{SET}.dryer_speed": "30 ft^2/hour",
            f"{SET}.idle_power": "0.1 kW",
            f"{SET}.supplies": "50 USD/month",
            f"{SET}.wear_parts": [],
            f"{SET}.start_up": [],
            f"{SET}.repairs": {"in_first_year": 1, "cost": 300},
            f"{LOAN}.down_payment": "10 %",
            "conditions.pays_back_within": "36 months",
        }
    )
    lines = defaults_in_words(given)
    for key in ("dryer_speed", "idle_power", "supplies", "wear_parts", "start_up", "repairs"):
        assert not starting(lines, f"{SET}.{key}")
    assert not starting(lines, f"{TEE}.needs_machine")
    assert not starting(lines, f"{LOAN}.down_payment")
    assert not starting(lines, "conditions.pays_back_within")
    assert not starting(lines, "shop.season")


def test_without_a_price_to_buy_in_all_added_work_needs_the_machine(
    loaded: Load, shop: str
) -> None:
    text = shop.replace('[today]\nbuy_in_price = "3 USD/ft^2"\n', "")
    lines = defaults_in_words(loaded(text.replace('today = "40 piece/week"\n', "")))
    assert starting(lines, f"{TEE}.needs_machine") == [
        "100 %, since bought-in transfers have no price"
    ]
    assert not any(line.startswith("today.") for line in lines)


def test_the_suppliers_sheet_matters_only_where_it_is_paid_for(loaded: Load) -> None:
    assert not starting(defaults_in_words(loaded()), "today.sheet_width")
    by_sheet = defaults_in_words(loaded(changes={"today.buy_in_by": "sheet"}))
    assert starting(by_sheet, "today.sheet_width") == ["22 in"]


def test_keys_of_a_lease_are_no_defaults_of_a_loan(loaded: Load) -> None:
    lines = (*defaults_in_words(loaded()), *costs_left_out(loaded()))
    assert not any(line.startswith(f"{LOAN}.de") or f"{LOAN}.due" in line for line in lines)
    assert not any('financing."Cash"' in line for line in lines)


def test_every_amount_that_is_zero_by_default_is_a_cost_that_may_be_left_out() -> None:
    zeros = {
        key.path
        for key in keys()
        if key.reads is not None and key.reads.unit.startswith("money") and key.field.default == 0
    }
    taxes = {"equipment.sales_tax", "financing.sales_tax"}
    assert zeros | taxes == set(LEFT_OUT) | {"selling.minimum_order"}  # an income, no cost


def test_costs_left_out_are_said_until_they_are_written(loaded: Load) -> None:
    expected = {
        "today.delivery",
        "selling.payment_fee_each",
        "selling.packing",
        "stock.opening",
        f"{SET}.sales_tax",
        f"{LOAN}.fee",
        "overheads",
        "tax",
    }
    lines = costs_left_out(loaded())
    assert {line.split(": ")[0] for line in lines} == expected
    zeros = {
        "today.delivery": 0,
        "selling.payment_fee_each": 0,
        "selling.packing": 0,
        "stock.opening": 0,
        f"{SET}.sales_tax": "0 %",
        f"{LOAN}.fee": 0,
        "overheads": [{"name": "Rent", "cost": "9 USD/month"}],
        "tax": {"rate": "20 %"},
    }
    assert costs_left_out(loaded(changes=zeros)) == ()


def test_a_warranty_at_no_price_is_left_out_only_where_one_is_written(loaded: Load) -> None:
    written = loaded(changes={f"{SET}.warranty": [{"name": "Extended", "term": "36 months"}]})
    assert starting(costs_left_out(written), f'{SET}.warranty."Extended".price') == [
        "price of this warranty"
    ]


def test_empty_lists_of_costs_are_said(loaded: Load) -> None:
    lines = costs_left_out(loaded(changes={f"{SET}.start_up": [], f"{SET}.wear_parts": []}))
    assert starting(lines, f"{SET}.start_up") == [
        "what it takes to make the equipment run; the list is empty"
    ]
    assert starting(lines, f"{SET}.wear_parts") == ["parts that wear out; the list is empty"]


def test_costs_of_a_lease_that_are_left_out(loaded: Load, shop: str) -> None:
    lease = (
        '\n[[financing]]\nkind = "lease"\npayment = "300 USD/month"\nterm = "48 months"\n'
        'at_end = "return"\n'
    )
    lines = costs_left_out(loaded(shop + lease))
    keys_said = {line.split(": ")[0] for line in lines if "Lease" in line}
    assert keys_said == {
        f'financing."Lease, 48 months".{key}' for key in ("deposit", "document_fee", "sales_tax")
    }


# ---------------------------------------------------------------- doubts


def test_a_scenario_that_raises_no_doubt(loaded: Load) -> None:
    assert doubts(loaded(sheet=SHEET, changes=READY)) == ()


def test_the_long_example_raises_no_doubt() -> None:
    assert doubts(load(SCENARIOS / "larkspur-lane.toml")) == ()


PRACTICE = "(common practice, no source)"
VAN = {"name": "Van", "balance": 1, "payment": "1 USD/month"}

ODD: dict[str, tuple[dict[str, object], str, str]] = {
    "a wage ten times too high": (
        {"shop.wage": "180 USD/hour"},
        "shop.wage",
        f"180 USD/hour lies outside the usual 6 to 80 USD/hour {PRACTICE}",
    ),
    "a roll of a metre": (
        {"film.roll": "24 in x 1 m", "film.roll_ends": "0.5 m/roll"},
        "film.roll.length",
        f"1 m lies outside the usual 10 to 400 m {PRACTICE}",
    ),
    "0.05 % for 5 %": (
        {"spoilage.transfers": "0.05 %"},
        "spoilage.transfers",
        f"0.05 % lies outside the usual 0.3 to 25 % {PRACTICE}",
    ),
    "less than today": (
        {f"{TEE}.planned": "39 piece/week"},
        f"{TEE}.planned",
        "39 piece/week is less than today's 40 piece/week",
    ),
    "sold at the price of the garment": (
        {f"{TEE}.garment": 15},
        f"{TEE}.price",
        "15 does not pay for the garment alone",
    ),
    "a limit beyond the horizon": (
        {"conditions.pays_back_within": "61 months"},
        "conditions.pays_back_within",
        "61 months lies beyond the horizon of 60 months; a payback after the horizon is not seen",
    ),
    "a horizon beyond the life": (
        {"horizon": "61 months"},
        SET,
        "a life of 5 years ends before the horizon of 61 months; the plan buys it again",
    ),
    "no circuit": (
        {f"{SET}.in_place": ["extraction", "humidity control"]},
        SET,
        "nothing says that a circuit for the dryer is bought or there; "
        "name it under start_up with its cost, or in in_place",
    ),
    "nothing around it": (
        {f"{SET}.in_place": []},
        SET,
        "nothing says that extraction, a circuit for the dryer and humidity control are bought "
        "or there; name it under start_up with its cost, or in in_place",
    ),
    "more lent than the price": (
        {f"{SET}.discount": "10 %", f"{SET}.sales_tax": "8 %", f"{LOAN}.amount": 14580.01},
        f"{LOAN}.amount",
        '14580.01 is more than the 14580.00 that "Set" costs with sales tax; '
        "no more than that is lent",
    ),
    "a lease silent on sales tax": (
        {"financing": [LEASE], f"{SET}.sales_tax": "7 %"},
        'financing."Lease, 48 months".sales_tax',
        "nothing says who pays sales tax on the lease payments, and the plan takes the lessor to "
        'pay it; set financing."Lease, 48 months".sales_tax, "0 %" where the lessor does',
    ),
    "a debt of the past": (
        {"shop.debts": [VAN | {"ends": "2027-02"}]},
        'shop.debts."Van".ends',
        "2027-02 lies before the start, 2027-03",
    ),
    "a break that saves nothing": (
        {"today.price_breaks": [{"from": "9 ft^2/order", "price": "3 USD/ft^2"}]},
        "today.price_breaks[0].price",
        "3 USD/ft^2 from 9 ft^2/order is not less than the 3 USD/ft^2 of smaller orders",
    ),
}


@pytest.mark.parametrize(("changes", "key", "said"), ODD.values(), ids=ODD.keys())
def test_one_doubt(loaded: Load, changes: dict[str, object], key: str, said: str) -> None:
    lines = doubts(loaded(sheet=SHEET, changes=READY | changes))
    assert starting(lines, key) == [said]
    assert len(lines) == 1


@pytest.mark.parametrize(
    "changes",
    [
        {"shop.wage": "80 USD/hour"},
        {f"{TEE}.planned": "40 piece/week"},
        {f"{TEE}.garment": 14.99},
        {"conditions.pays_back_within": "60 months"},
        {"horizon": "60 months"},
        {
            f"{SET}.in_place": [],
            f"{SET}.start_up": [
                {"name": "Exhaust hood and humidifier", "cost": 900},
                {"name": "Electrician", "cost": 700},
            ],
        },
        {f"{SET}.discount": "10 %", f"{SET}.sales_tax": "8 %", f"{LOAN}.amount": 14580},
        {f"{LOAN}.amount": 15500, f"{LOAN}.covers": ["equipment", "start-up"]},
        {"financing": [LEASE | {"sales_tax": "0 %"}], f"{SET}.sales_tax": "7 %"},
        {"financing": [LEASE]},
        {"shop.debts": [VAN | {"ends": "2027-03"}]},
        {"today.price_breaks": [{"from": "9 ft^2/order", "price": "2.99 USD/ft^2"}]},
    ],
)
def test_no_doubt_on_the_other_side(loaded: Load, changes: dict[str, object]) -> None:
    assert doubts(loaded(sheet=SHEET, changes=READY | changes)) == ()


def test_the_cover_that_no_bank_asked_for_is_said(loaded: Load) -> None:
    key = "lender.debt_service_cover_at_least"
    assert starting(defaults_in_words(loaded()), key) == [
        "1.25, which no bank asked for; it may decide which way to pay is spoken of"
    ]
    assert starting(defaults_in_words(loaded(changes={key: 1.25})), key) == []


def test_a_loan_of_an_amount_has_no_down_payment_by_default(loaded: Load) -> None:
    lines = defaults_in_words(loaded(changes={f"{LOAN}.amount": 9000}))
    assert not starting(lines, f"{LOAN}.down_payment")


def test_a_year_without_a_season(loaded: Load) -> None:
    del_season = {key: value for key, value in READY.items() if key != "shop.season"}
    year = doubts(loaded(sheet=SHEET, changes={**del_season, "horizon": "12 months"}))
    assert [line.split(":")[0] for line in year if "season" in line] == ["shop.season"]
    less = doubts(loaded(sheet=SHEET, changes={**del_season, "horizon": "11 months"}))
    assert not any("season" in line for line in less)


YEAR = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]


@pytest.mark.parametrize("horizon", ["12 months", "60 months"])
def test_a_season_of_every_product_is_a_season(loaded: Load, horizon: str) -> None:
    changes = {key: value for key, value in READY.items() if key != "shop.season"}
    bare = loaded(sheet=SHEET, changes={**changes, "horizon": horizon})
    assert starting(doubts(bare), "shop.season")
    assert starting(defaults_in_words(bare), "shop.season")
    own = {f"{TEE}.season": YEAR}
    seasonal = loaded(sheet=SHEET, changes={**changes, **own, "horizon": horizon})
    assert not starting(doubts(seasonal), "shop.season")
    assert not starting(defaults_in_words(seasonal), "shop.season")


def test_a_product_without_the_season_of_the_others_has_none(loaded: Load, shop: str) -> None:
    other = '[[products]]\nname = "Cap"\nprints = ["4 in x 2 in"]\nprice = 9\ngarment = 2\n'
    text = shop.replace("[ink]", f'{other}planned = "9 piece/week"\n\n[ink]')
    changes = {key: value for key, value in READY.items() if key != "shop.season"}
    lines = doubts(loaded(text, sheet=SHEET, changes={**changes, f"{TEE}.season": YEAR}))
    assert starting(lines, "shop.season")


NEEDS = {
    "extraction": ("extraction", ["Extraction hood", "Ventilation", "Exhaust fan", "fume filter"]),
    "circuit": ("a circuit for the dryer", ["New circuit", "Electrician", "Wiring"]),
    "humidity": ("humidity control", ["Humidifier", "Dehumidifier"]),
}


@pytest.mark.parametrize(("need", "bought"), NEEDS.values(), ids=NEEDS.keys())
def test_what_a_machine_needs_is_asked_for_until_it_is_bought_or_there(
    loaded: Load, need: str, bought: list[str]
) -> None:
    others = [other for other, _ in NEEDS.values() if other != need]
    ready = READY | {f"{SET}.in_place": others}
    (said,) = starting(doubts(loaded(sheet=SHEET, changes=ready)), SET)
    assert said.startswith(f"nothing says that {need} is bought or there")
    for name in bought:
        step = {f"{SET}.start_up": [{"name": name, "cost": 900}]}
        assert doubts(loaded(sheet=SHEET, changes=ready | step)) == ()
        there = {f"{SET}.in_place": [*others, name]}
        assert doubts(loaded(sheet=SHEET, changes=ready | there)) == ()


def test_an_unusual_value_is_said_with_the_range_and_who_says_so(loaded: Load) -> None:
    inside = loaded(sheet=SHEET, changes=READY | {"labour.pressing": "6 min/print"})
    assert doubts(inside) == ()
    outside = loaded(sheet=SHEET, changes=READY | {"labour.pressing": "6.1 min/print"})
    assert doubts(outside) == (
        "labour.pressing: 6.1 min/print lies outside the usual 0.2 to 6 min/print "
        "(common practice, no source)",
    )


def test_work_that_could_be_bought_in_without_a_price(loaded: Load, shop: str) -> None:
    text = shop.replace('[today]\nbuy_in_price = "3 USD/ft^2"\n', "")
    text = text.replace('today = "40 piece/week"\n', "")
    (line,) = doubts(loaded(text, sheet=SHEET, changes={**READY, f"{TEE}.needs_machine": "99 %"}))
    assert line.startswith(f"{TEE}.needs_machine: 99 % says that the rest could be bought in")
    assert (
        doubts(loaded(text, sheet=SHEET, changes={**READY, f"{TEE}.needs_machine": "100 %"})) == ()
    )


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (1, ["one print gives no range; print and weigh at least 5 designs"]),
        (4, ["4 prints are few; print and weigh at least 5 designs"]),
        (5, []),
    ],
)
def test_few_test_prints(loaded: Load, rows: int, said: list[str]) -> None:
    lines = SHEET.strip().split("\n")
    lines_left = "\n".join(lines[: rows + 1])
    assert starting(doubts(loaded(sheet=lines_left, changes=READY)), "test_prints") == said


def test_test_prints_that_took_a_thousand_times_the_ink(loaded: Load) -> None:
    # 5.5 L on 2 · 120 in²: 3,300 mL a square foot; a square metre has 10.76 (NIST SP 811)
    litres = SHEET.replace("white [mL]", "white [L]")
    for units, said in {
        "inch": "3300 mL/ft^2 lies outside the usual 0.4645 to 11.15 mL/ft^2",
        "metric": "35520 mL/m^2 lies outside the usual 5 to 120 mL/m^2",
    }.items():
        lines = doubts(loaded(sheet=litres, changes={**READY, "units": units}))
        assert lines == (f"test_prints: white: {said} (common practice, no source)",)
