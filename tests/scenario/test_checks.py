"""Faults between keys and between values, each from both sides of its limit."""

from collections.abc import Callable
from typing import Any

import pytest

from planner.usage.layout import DoesNotFitError, Piece, strip_length

Faults = Callable[..., list[str]]
Edit = Callable[..., str]

TEE = 'products."Tee"'
SET = 'equipment."Set"'
LEASE = """
[[financing]]
kind = "lease"
payment = "300 USD/month"
term = "48 months"
at_end = "return"
"""


def after(text: str, line: str, more: str) -> str:
    """The text with more lines behind one."""
    assert line in text
    return text.replace(line, f"{line}\n{more}")


def keys_of(lines: list[str]) -> list[str]:
    """Key and rest of each fault, without its place."""
    return [line.split(": ", 1)[1] for line in lines]


# ---------------------------------------------------------------- between keys


@pytest.mark.parametrize(
    ("ink", "said"),
    [
        ('price = "90 USD/L"', []),
        ('white_price = "90 USD/L"\ncolour_price = "95 USD/L"', []),
        ("", ["ink: must hold price, or white_price and colour_price (got neither)"]),
        (
            'white_price = "90 USD/L"',
            ["ink: must hold price, or white_price and colour_price (got white_price)"],
        ),
        (
            'price = "90 USD/L"\nwhite_price = "90 USD/L"',
            [
                "ink.price: must stand alone, or be left out for white_price and colour_price "
                "(got price and white_price)"
            ],
        ),
    ],
)
def test_one_price_of_ink_or_two(faults: Faults, edit: Edit, ink: str, said: list[str]) -> None:
    assert keys_of(faults(edit('price = "90 USD/L"', ink))) == said


@pytest.mark.parametrize(
    ("power", "got"),
    [
        ('power = "5 kW"', None),
        ('printer_power = "1 kW"\ndryer_power = "4 kW"', None),
        ("", f"{SET}: must hold either power, or printer_power and dryer_power (got neither)"),
        (
            'power = "5 kW"\nprinter_power = "1 kW"',
            f"{SET}: must hold either power, or printer_power and dryer_power (got both)",
        ),
        (
            'dryer_power = "1 kW"',
            f"{SET}: must hold both printer_power and dryer_power (got dryer_power)",
        ),
    ],
)
def test_one_power_or_two(faults: Faults, edit: Edit, power: str, got: str | None) -> None:
    assert keys_of(faults(edit('power = "5 kW"', power))) == ([got] if got else [])


ITEMS = '[[equipment.items]]\nname = "A"\nprice = 5\n'


@pytest.mark.parametrize(
    ("price", "items", "got"),
    [
        ("price = 15000", "", None),
        ("", ITEMS, None),
        ("", "", f"{SET}: must hold either price or items (got neither)"),
        ("price = 15000", ITEMS, f"{SET}: must hold either price or items (got both)"),
        ("price = 0", "", f"{SET}.price: must be more than 0 (got 0)"),
        ("", ITEMS.replace("5", "0"), f"{SET}: must have a price above 0 (got 0)"),
    ],
)
def test_a_set_has_one_price(
    faults: Faults, edit: Edit, price: str, items: str, got: str | None
) -> None:
    text = after(edit("price = 15000", price), 'power = "5 kW"', items)
    assert keys_of(faults(text)) == ([got] if got else [])


@pytest.mark.parametrize(
    ("table", "got"),
    [
        ('[[equipment.wear_parts]]\nname = "Head"\nprice = 5\nlife = "9 m^2"', None),
        ('[[equipment.wear_parts]]\nname = "Head"\nprice = 5\nlife_at_most = "9 months"', None),
        (
            '[[equipment.wear_parts]]\nname = "Head"\nprice = 5',
            f'{SET}.wear_parts."Head": must hold life (an area), life_at_most (months) or both '
            "(got neither)",
        ),
        ('[[equipment.start_up]]\nname = "Training"\nhours = "9 hour"', None),
        ('[[equipment.start_up]]\nname = "Training"\npractice = "9 m^2"', None),
        (
            '[[equipment.start_up]]\nname = "Training"',
            f'{SET}.start_up."Training": must hold cost, hours or practice (got none of them)',
        ),
    ],
)
def test_parts_and_start_up_say_how_much(
    faults: Faults, shop: str, table: str, got: str | None
) -> None:
    assert keys_of(faults(after(shop, 'power = "5 kW"', table))) == ([got] if got else [])


SAME_NAMES = {
    f"{TEE}.name": """
[[products]]
name = " Tee "
prints = ["1 in x 1 in"]
price = 1
garment = 0
planned = "1 piece/week"
""",
    'overheads."Rent".name': """
[[overheads]]
name = "Rent"
cost = "1 USD/month"
[[overheads]]
name = "Rent"
cost = "2 USD/month"
""",
    f'{SET}.start_up."Delivery".name': """
[[equipment.start_up]]
name = "Delivery"
cost = 1
[[equipment.start_up]]
name = "Delivery"
cost = 2
""",
    f'{SET}.warranty."Included, 12 months".name': """
[[equipment.warranty]]
[[equipment.warranty]]
price = 0
""",
    'financing."Loan, 48 months".name': """
[[financing]]
kind = "loan"
rate = "5 %/year"
term = "4 years"
[[financing]]
kind = "loan"
rate = "6 %/year"
term = "48 months"
""",
    'financing."Cash".name': """
[[financing]]
name = "Cash"
kind = "loan"
rate = "5 %/year"
term = "9 months"
""",
}


@pytest.mark.parametrize(("key", "table"), SAME_NAMES.items(), ids=SAME_NAMES.keys())
def test_names_differ(faults: Faults, shop: str, key: str, table: str) -> None:
    found = keys_of(faults(after(shop, 'power = "5 kW"', table)))
    assert len(found) == 2
    assert all(one.startswith(f"{key}: must differ from other names of its list") for one in found)


@pytest.mark.parametrize(
    ("offer", "got"),
    [
        ('kind = "cash"', []),
        (
            'kind = "cash"\nrate = "5 %/year"',
            ['financing."Cash".rate: must not stand in a way to pay of kind cash'],
        ),
        (
            'kind = "cash"\nequipment = "Set"',
            ['financing."Cash".equipment: must not stand in a way to pay of kind cash'],
        ),
        (
            'kind = "loan"\nterm = "9 months"',
            ['financing."Loan, 9 months": must hold exactly one of rate and payment (got neither)'],
        ),
        (
            'kind = "loan"\nterm = "9 months"\nrate = "5 %/year"\npayment = "1400 USD/month"',
            ['financing."Loan, 9 months": must hold exactly one of rate and payment (got both)'],
        ),
        (
            'kind = "loan"\nrate = "5 %/year"',
            ['financing."Loan".term: must be given (got nothing)'],
        ),
        (
            'kind = "loan"\nrate = "5 %/year"\nterm = "9 months"\nat_end = "return"',
            ['financing."Loan, 9 months".at_end: must not stand in a way to pay of kind loan'],
        ),
        (
            'kind = "lease"',
            [
                'financing."Lease": must hold exactly one of rate and payment (got neither)',
                'financing."Lease".at_end: must be given (got nothing)',
                'financing."Lease".term: must be given (got nothing)',
            ],
        ),
        (
            'kind = "loan"\nrate = "5 %/year"\nterm = "9 months"\ncovers = ["stock", "stock"]',
            ['financing."Loan, 9 months".covers: must name each part once (got "stock")'],
        ),
        (
            'kind = "loan"\nrate = "5 %/year"\nterm = "9 months"\nequipment = "Sett"',
            [
                'financing."Loan, 9 months".equipment: must name a set of equipment of this file '
                '(got "Sett"); there is "Set"'
            ],
        ),
    ],
)
def test_each_way_to_pay_holds_its_own_keys(
    faults: Faults, shop: str, offer: str, got: list[str]
) -> None:
    assert keys_of(faults(f"{shop}\n[[financing]]\n{offer}\n")) == got


ENDS = 'must be "return", "market", "renew", { buy = "7 %" }, { buy = 1 } or { renew = payment }'


@pytest.mark.parametrize(
    ("at_end", "said"),
    [
        ('"return"', None),
        ('"market"', None),
        ('{ buy = "7 %" }', None),
        ("{ buy = 1 }", None),
        ("{ buy = 0 }", None),
        ('"renew"', None),
        ('{ renew = "90 USD/month" }', None),
        (
            "{ renew = 90 }",
            'must be a number and a unit such as "1 USD/month" (got 90)',
        ),
        ('"keep"', f'{ENDS} (got "keep")'),
        ("{ sell = 1 }", f"{ENDS} (got a table)"),
        ('{ kind = "buy", sum = 1 }', f"{ENDS} (got a table)"),
        ('{ buy = "130 %" }', 'must be at most 100 % (got "130 %")'),
        ("{ buy = -1 }", "must be at least 0 USD (got -1)"),
        ("{ buy = true }", "must be an amount of money in USD (got true)"),
    ],
)
def test_ends_of_a_lease(faults: Faults, shop: str, at_end: str, said: str | None) -> None:
    found = faults(shop + LEASE.replace('"return"', at_end))
    assert keys_of(found) == ([f'financing."Lease, 48 months".at_end: {said}'] if said else [])


def test_bought_in_transfers_need_a_price_where_they_are_used(
    faults: Faults, edit: Edit, shop: str
) -> None:
    no_price = edit('buy_in_price = "3 USD/ft^2"', 'orders = "1 order/week"')
    assert keys_of(faults(no_price)) == [
        "today: must hold buy_in_price, or a product must hold buy_in (got neither); "
        "leave [today] out without a price",
        f"{TEE}.today: must have a price at which today's transfers are bought in "
        '(got "40 piece/week"); give today.buy_in_price, or the product\'s buy_in',
    ]
    assert faults(after(no_price, "garment = 3", "buy_in = 2")) == []
    idle = shop.replace('today = "40 piece/week"\n', "")
    alone = idle.replace('[today]\nbuy_in_price = "3 USD/ft^2"\n', "")
    assert faults(alone) == []
    assert keys_of(faults(after(alone, "garment = 3", "buy_in = 2"))) == [
        f"{TEE}.buy_in: must stand with a [today] table; "
        "add [today], where delivery and orders are given"
    ]


def test_price_breaks_stand_on_a_price(faults: Faults, edit: Edit) -> None:
    breaks = 'price_breaks = [{ from = "9 m^2/order", price = "20 USD/m^2" }]'
    price = 'buy_in_price = "3 USD/ft^2"'
    assert faults(edit(price, f"{price}\n{breaks}")) == []
    alone = after(edit(price, breaks), "garment = 3", "buy_in = 2")
    assert keys_of(faults(alone)) == [
        "today.price_breaks: must stand with buy_in_price, "
        "the price of orders below the first break"
    ]


# ---------------------------------------------------------------- between values


def both_sides(
    faults: Faults, text: Callable[[str], str], inside: str, outside: str, said: str
) -> None:
    """Nothing is wrong inside the limit; the one fault outside is as said."""
    assert faults(text(inside)) == []
    assert keys_of(faults(text(outside))) == [said]


def test_the_printer_runs_before_the_horizon(faults: Faults, edit: Edit) -> None:
    both_sides(
        faults,
        lambda months: edit('start = "2027-03"', f'start = "2027-03"\nruns_from = "{months}"'),
        "59 months",
        "60 months",
        'runs_from: must be before the horizon, 60 months (got "60 months")',
    )


@pytest.mark.parametrize(("inside", "outside"), [("2027-03", "2027-02"), ("2032-02", "2032-03")])
def test_closed_months_lie_in_the_plan(
    faults: Faults, edit: Edit, inside: str, outside: str
) -> None:
    both_sides(
        faults,
        lambda month: edit("cash_at_start = 9000", f'cash_at_start = 9000\nclosed = ["{month}"]'),
        inside,
        outside,
        f'shop.closed[0]: must be a month of the plan, 2027-03 to 2032-02 (got "{outside}")',
    )


def test_one_month_stays_open_in_which_the_printer_runs(faults: Faults, edit: Edit) -> None:
    text = edit('horizon = "60 months"', 'horizon = "4 months"')
    months = ["2027-03", "2027-04", "2027-05", "2027-06"]  # the first is before the printer runs
    some = after(text, "cash_at_start = 9000", f"closed = {months[:3]}")
    every = after(text, "cash_at_start = 9000", f"closed = {months[1:]}")
    assert faults(some) == []
    assert keys_of(faults(every)) == [
        "shop.closed: must leave a month open in which the printer runs"
    ]


def test_something_is_planned(faults: Faults, edit: Edit) -> None:
    both_sides(
        faults,
        lambda planned: edit('planned = "60 piece/week"', f'planned = "{planned}"'),
        "0.1 piece/week",
        "0 piece/week",
        "products: must hold one that is planned at more than 0 piece/week",
    )


@pytest.mark.parametrize(
    ("key", "table"),
    [
        ("spoilage.transfers", "[spoilage]\ntransfers"),
        ("ramp.spoilage_at_start", "[ramp]\nspoilage_at_start"),
    ],
)
def test_a_tenth_of_what_is_made_must_be_good(
    faults: Faults, shop: str, key: str, table: str
) -> None:
    # (1 − 80 %) × (1 − 50 %) = 10 %
    garments = "[spoilage]\ngarments" if "ramp" in table else "garments"
    both_sides(
        faults,
        lambda share: shop + f'{table} = "80 %"\n{garments} = "{share}"\n',
        "50 %",
        "50.1 %",
        f"{key}: must leave at least 10 % of what is made, rejects and spoiled garments together "
        "(got 80 % and 50.1 %)",
    )


def test_spoiled_garments_are_named_where_they_are_the_worse(faults: Faults, shop: str) -> None:
    (line,) = faults(shop, changes={"spoilage.garments": "89.5 %"})
    assert line.startswith("--set: spoilage.garments: must leave at least 10 % of what is made")


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("amount = 6000", []),
        ('amount = "6000 USD"', []),
        ('down_payment = "10 %"', []),
        (
            'amount = 6000\ndown_payment = "10 %"',
            [
                'financing."Bank loan": must hold amount or down_payment, not both: '
                "what is not lent is paid from own money (got both)"
            ],
        ),
    ],
)
def test_a_loan_has_an_amount_or_a_down_payment(
    faults: Faults, edit: Edit, keys: str, said: list[str]
) -> None:
    rate = 'rate = "9 %/year"'
    assert keys_of(faults(edit(rate, f"{rate}\n{keys}"))) == said


def test_advance_payments_are_part_of_the_term(faults: Faults, shop: str) -> None:
    both_sides(
        faults,
        lambda count: shop + LEASE + f"advance_payments = {count}\n",
        "48",
        "49",
        'financing."Lease, 48 months".advance_payments: '
        "must be at most the payments of the term, 48 (got 49)",
    )


@pytest.mark.parametrize(
    ("more", "least"),
    [
        ("", 250.0),  # 80 % of 15,000 over 48 months
        ('down_payment = "0 %"', 312.5),  # 15,000 over 48 months
        ('covers = ["equipment", "start-up"]', 250.0),  # at least the equipment
        ("amount = 6000", 125.0),  # 6,000 over 48 months
        ("amount = 16000", 312.5),  # no more than the price is lent
    ],
)
def test_a_loan_repays_what_it_lends(faults: Faults, edit: Edit, more: str, least: float) -> None:
    both_sides(
        faults,
        lambda payment: edit('rate = "9 %/year"', f'payment = "{payment}"\n{more}'),
        f"{least} USD/month",
        f"{least - 0.01} USD/month",
        'financing."Bank loan".payment: must repay at least the price of the equipment, '
        f'{least:.2f} USD/month (got "{least - 0.01} USD/month")',
    )


@pytest.mark.parametrize(
    ("more", "least"),
    [
        ('discount = "10 %"', 225.0),  # 250 less a tenth
        ('sales_tax = "20 %"', 300.0),  # 250 and a fifth: what is lent includes the tax
    ],
)
def test_discount_and_tax_change_what_is_lent(
    faults: Faults, edit: Edit, more: str, least: float
) -> None:
    text = after(edit('rate = "9 %/year"', 'payment = "{} USD/month"'), 'power = "5 kW"', more)
    assert faults(text.replace("{}", f"{least}")) == []
    assert len(faults(text.replace("{}", f"{least - 0.01}"))) == 1


@pytest.mark.parametrize(
    ("more", "least"),
    [
        ("balloon = 2400", 200.0),  # (12,000 − 2,400) over 48 months
        ('interest_only = "8 months"', 300.0),  # 12,000 over the other 40
        ('first_payment_after = "9 months"', 300.0),  # the first eight pass without a payment
        ('step = { every = "24 months", change = "50 %" }', 200.0),  # 24 × 200 and 24 × 300
    ],
)
def test_what_the_payments_add_up_to(faults: Faults, edit: Edit, more: str, least: float) -> None:
    both_sides(
        faults,
        lambda payment: edit('rate = "9 %/year"', f'payment = "{payment}"\n{more}'),
        f"{least} USD/month",
        f"{least - 0.01} USD/month",
        'financing."Bank loan".payment: must repay at least the price of the equipment, '
        f'{least:.2f} USD/month (got "{least - 0.01} USD/month")',
    )


@pytest.mark.parametrize("kind", ["loan", "instalments"])
def test_a_month_is_left_to_repay_in(faults: Faults, shop: str, kind: str) -> None:
    both_sides(
        faults,
        lambda months: (
            shop.replace('kind = "loan"', f'kind = "{kind}"\nfirst_payment_after = "3 months"')
            + f'interest_only = "{months}"\n'
        ),
        "45 months",  # two without a payment, forty-five of interest, one to repay
        "46 months",
        'financing."Bank loan".interest_only: must leave a month of the term of 48 to repay in '
        "(got 46 months and 3 months)",
    )


def test_a_loan_for_the_start_up_alone_is_not_measured_by_the_equipment(
    faults: Faults, edit: Edit
) -> None:
    offer = 'payment = "50 USD/month"\ncovers = ["start-up"]'
    assert faults(edit('rate = "9 %/year"', offer)) == []


def test_the_fee_of_a_loan_is_less_than_the_loan(faults: Faults, shop: str) -> None:
    both_sides(
        faults,
        lambda fee: f"{shop}fee = {fee}\n",
        "11999",
        "12000",  # 80 % of 15,000
        'financing."Bank loan".fee: must be less than the price of the equipment that is lent, '
        "12000.00 (got 12000)",
    )


@pytest.mark.parametrize(
    ("inside", "outside", "key", "paid"),
    [
        ("document_fee = 14999", "document_fee = 15000", "document_fee", 15000),
        (
            "document_fee = 599\nadvance_payments = 48",
            "document_fee = 600\nadvance_payments = 48",
            "advance_payments",
            15000,  # 48 × 300 and the fee
        ),
    ],
)
def test_a_lease_takes_less_at_signing_than_the_price(
    faults: Faults, shop: str, inside: str, outside: str, key: str, paid: int
) -> None:
    both_sides(
        faults,
        lambda keys: f"{shop}{LEASE}{keys}\n",
        inside,
        outside,
        f'financing."Lease, 48 months".{key}: must leave the payments at signing below the price, '
        f"15000.00 (got {paid}.00)",
    )


def test_the_first_payment_lies_after_signing(faults: Faults, shop: str) -> None:
    signed = f"{shop}signed = 2027-03-10\n"
    both_sides(
        faults,
        lambda day: f"{signed}first_payment = {day}\n",
        "2027-03-11",
        "2027-03-10",
        'financing."Bank loan".first_payment: must lie after the day of signing, 2027-03-10 '
        "(got 2027-03-10)",
    )
    assert keys_of(faults(signed)) == [
        'financing."Bank loan": must hold both signed and first_payment, or neither (got one)'
    ]


def test_notice_is_given_within_the_term(faults: Faults, shop: str) -> None:
    both_sides(
        faults,
        lambda months: f'{shop}{LEASE}notice = "{months}"\n',
        "48 months",
        "49 months",
        'financing."Lease, 48 months".notice: must be at most the months of the term, 48 '
        '(got "49 months")',
    )


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ('"straight line"', None),
        ('{ life = "20000 ft^2" }', None),
        ('{ shares = ["60 %", "40 %"] }', None),
        (
            '{ shares = ["60 %", "39.9 %"] }',
            "must hold shares that add up to 100 % (got 99.9 %)",
        ),
        (
            '"units of production"',
            'must say how much the equipment prints, as in { life = "20000 ft^2" } '
            '(got "units of production")',
        ),
        (
            "5",
            'must be the name of a rule, { life = "20000 ft^2" } or { shares = ["20 %", …] } '
            "(got 5)",
        ),
    ],
)
def test_rules_of_depreciation(faults: Faults, shop: str, rule: str, said: str | None) -> None:
    found = faults(f'{shop}[tax]\nrate = "20 %"\ndepreciation = {rule}\n')
    assert keys_of(found) == ([f"tax.depreciation: {said}"] if said else [])


# ---------------------------------------------------------------- film and sheet


@pytest.mark.parametrize(
    ("inside", "outside", "said"),
    [
        # 24 in less 2 × 0.5 in
        ("23 in x 40 in", "23.01 in x 40 in", "must fit the usable width of the film, 23 in"),
    ],
)
def test_a_print_fits_the_film(
    faults: Faults, edit: Edit, inside: str, outside: str, said: str
) -> None:
    both_sides(
        faults,
        lambda size: edit('prints = ["10 in x 12 in"]', f'prints = ["{size}"]'),
        inside,
        outside,
        f'{TEE}.prints[0]: {said} (got "{outside}")',
    )


@pytest.mark.parametrize("hundredths", range(5, 205, 10))
def test_a_print_as_wide_as_the_film_fits_in_spite_of_rounding(
    faults: Faults, edit: Edit, hundredths: int
) -> None:
    margin = hundredths / 100
    text = edit("roll_price = 168", f'roll_price = 168\nmargin = "{margin} in"')
    full = f"{(24 - 2 * margin) * 2.54:.4f} cm x 40 cm"
    assert faults(text.replace("10 in x 12 in", full)) == []


@pytest.mark.parametrize("may_turn", [True, False])
@pytest.mark.parametrize("beyond", [-1e-4, 0.0, 1e-10, 1e-4])
def test_the_check_and_the_layout_agree(
    faults: Faults, edit: Edit, beyond: float, may_turn: bool
) -> None:
    """A print a little over [m] the usable width, as it stands and turned."""
    usable = 23 * 0.0254
    for width, length in ((usable + beyond, 1.0), (1.0, usable + beyond)):
        text = edit(
            "roll_price = 168", f"roll_price = 168\nmay_turn = {str(may_turn).lower()}"
        ).replace("10 in x 12 in", f"{width:.12f} m x {length:.12f} m")
        piece = Piece(width=width, length=length, count=1)
        try:
            strip_length([piece], usable_width=usable, gap=0.0, may_turn=may_turn)
            fits = True
        except DoesNotFitError:
            fits = False
        assert (faults(text) == []) is fits


def test_a_print_may_be_turned_where_that_is_allowed(faults: Faults, edit: Edit) -> None:
    wide = edit('prints = ["10 in x 12 in"]', 'prints = ["30 in x 23 in"]')
    assert keys_of(faults(wide)) == [
        f"{TEE}.prints[0]: must fit the usable width of the film, 23 in "
        '(got "30 in x 23 in"); may_turn = true turns it'
    ]
    assert faults(after(wide, "roll_price = 168", "may_turn = true")) == []
    too_wide = after(wide, "roll_price = 168", "may_turn = true").replace("x 23 in", "x 23.1 in")
    assert keys_of(faults(too_wide)) == [
        f'{TEE}.prints[0]: must fit the usable width of the film, 23 in (got "30 in x 23.1 in")'
    ]


def test_a_set_with_its_own_film_is_named(faults: Faults, shop: str) -> None:
    own = after(shop, 'power = "5 kW"', 'film = { roll = "12 in x 100 m" }')
    assert faults(own) == []  # 12 in less 2 × 0.5 in is 11 in
    narrow = own.replace('"12 in x 100 m"', '"10.9 in x 100 m"')
    assert keys_of(faults(narrow)) == [
        f"{TEE}.prints[0]: must fit the usable width of the film of {SET}, 9.9 in "
        '(got "10 in x 12 in")'
    ]
    turned = after(own, "roll_price = 168", "may_turn = true").replace("10 in x", "11.5 in x")
    fits_turned = turned.replace('11.5 in x 12 in"', '11.5 in x 11 in"')
    assert len(faults(turned)) == 1
    assert faults(fits_turned) == []  # the set inherits may_turn
    not_turned = fits_turned.replace('100 m" }', '100 m", may_turn = false }')
    assert len(faults(not_turned)) == 1


@pytest.mark.parametrize(
    ("key", "inside", "outside", "said"),
    [
        (
            "margin",
            "6.9 in",
            "12 in",
            'must leave a usable width on the roll, which is 24 in wide (got "12 in")',
        ),
        (
            "roll_ends",
            "99.9 m/roll",
            "100 m/roll",
            'must be less than the length of the roll, 100 m (got "100 m/roll")',
        ),
    ],
)
def test_something_of_the_roll_is_left(
    faults: Faults, edit: Edit, key: str, inside: str, outside: str, said: str
) -> None:
    both_sides(
        faults,
        lambda length: edit("roll_price = 168", f'roll_price = 168\n{key} = "{length}"'),
        inside,
        outside,
        f"film.{key}: {said}",
    )


def test_a_roll_narrower_than_usual_margins_is_itself_at_fault(faults: Faults, edit: Edit) -> None:
    found = keys_of(faults(edit('roll = "24 in x 100 m"', 'roll = "1 in x 100 m"')))
    assert found == [
        'film.roll: must be wider than its two margins of "0.5 in" (got "1 in x 100 m")'
    ]


def test_the_high_end_of_a_range_counts_for_the_ends_of_a_roll(faults: Faults, edit: Edit) -> None:
    wide = 'roll_ends = { low = "2 m/roll", likely = "3 m/roll", high = "100 m/roll" }'
    assert len(faults(edit("roll_price = 168", f"roll_price = 168\n{wide}"))) == 1


def test_a_print_fits_the_suppliers_sheet(faults: Faults, edit: Edit) -> None:
    """Turned or not: the supplier lays the prints out."""

    def text(size: str, by: str = "sheet") -> str:
        price = 'buy_in_price = "3 USD/ft^2"'
        bought = edit(price, f'{price}\nbuy_in_by = "{by}"\nsheet_width = "20 in"')
        return bought.replace('"10 in x 12 in"', f'"{size}"')

    assert faults(text("23 in x 20 in")) == []
    assert keys_of(faults(text("23 in x 20.1 in"))) == [
        f'{TEE}.prints[0]: must fit the supplier\'s sheet, 20 in wide (got "23 in x 20.1 in")'
    ]
    assert faults(text("23 in x 20.1 in", by="picture")) == []


def test_a_fault_elsewhere_does_not_hide_these(faults: Faults, edit: Edit) -> None:
    text = edit('prints = ["10 in x 12 in"]', 'prints = ["30 in x 30 in", "x"]')
    found = keys_of(faults(text.replace("price = 15\n", "price = true\n")))
    assert [line.split(":")[0] for line in found] == [
        f"{TEE}.prints[0]",
        f"{TEE}.prints[1]",
        f"{TEE}.price",
    ]


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"runs_from": "60 months"}, "runs_from"),
        ({'products."Tee".prints': '["30 in x 30 in"]'}, f"{TEE}.prints[0]"),
        ({"film.margin": "12 in"}, "film.margin"),
        ({"shop.closed": '["2020-01"]'}, "shop.closed[0]"),
        ({'financing."Cash".rate': "5 %/year"}, 'financing."Cash".rate'),
        ({"test_prints.file": "../x.csv"}, "test_prints.file"),
        ({"ramp.month": "3 months"}, "ramp.month"),
    ],
)
def test_changes_are_checked_like_the_file(
    faults: Faults, changes: dict[str, Any], key: str
) -> None:
    (line,) = faults(changes=changes)
    assert line.startswith(f"--set: {key}: must ")
