"""Bad scenario files: a line for each fault, with place, key, what it must be and what it is.

Each case replaces one line of the small scenario; the fault is expected on that line.
"""

from collections.abc import Callable
from typing import Any

import pytest

TEE = 'products."Tee"'

# label: (line replaced, what stands there instead, the fault after "shop.toml:<line>: ")
CASES: dict[str, tuple[str, str, str]] = {
    "unknown key": (
        "garment = 3",
        "garmnt = 3",
        f"{TEE}.garmnt: must be a known key (got garmnt); did you mean garment?",
    ),
    "unknown key like no other": (
        'price = "21 USD/kg"',
        'price = "21 USD/kg"\nzzz = 1',
        "powder.zzz: must be a known key (got zzz); known here: price, lost",
    ),
    "unknown table": (
        "[powder]",
        "[powdr]",
        "powdr: must be a known key (got powdr); did you mean powder?",
    ),
    "wrong dimension": (
        'buy_in_price = "3 USD/ft^2"',
        'buy_in_price = "3 USD/ft"',
        'today.buy_in_price: must be in a unit like "USD/m^2" (got "3 USD/ft")',
    ),
    "low above likely": (
        "price = 15",
        "price = { low = 16, likely = 15, high = 17 }",
        f"{TEE}.price: must have low ≤ likely ≤ high (got 16 / 15 / 17)",
    ),
    "negative price": ("price = 15", "price = -1", f"{TEE}.price: must be at least 0 USD (got -1)"),
    "0.05 for 5 %": (
        'price = "21 USD/kg"',
        'price = "21 USD/kg"\nlost = 0.05',
        'powder.lost: must be a percentage such as "12 %" (got 0.05); '
        'if you mean 0.05 of the whole, write "5 %"',
    ),
    "130 %": (
        'price = "21 USD/kg"',
        'price = "21 USD/kg"\nlost = "130 %"',
        'powder.lost: must be at most 90 % (got "130 %")',
    ),
    "a percentage without its sign": (
        'price = "21 USD/kg"',
        'price = "21 USD/kg"\nlost = "12"',
        'powder.lost: must be a percentage such as "12 %" (got "12"); '
        'if you mean per cent, write "12 %"',
    ),
    "another currency": (
        'price = "90 USD/L"',
        'price = "90 EUR/L"',
        'ink.price: must be in USD, the scenario\'s currency (got "90 EUR/L"); '
        'convert it, or set currency = "EUR"',
    ),
    "unknown currency": (
        'currency = "USD"',
        'currency = "USX"',
        'currency: must be the code of a currency in use (got "USX")',
    ),
    "currency of the past": (
        'currency = "USD"',
        'currency = "DEM"',
        'currency: must be the code of a currency in use (got "DEM")',
    ),
    "currency in small letters": (
        'currency = "USD"',
        'currency = "usd"',
        'currency: must be a currency code of three capital letters, such as "USD" (got "usd"); '
        'write "USD"',
    ),
    "decimal comma": (
        'price = "21 USD/kg"',
        'price = "21,5 USD/kg"',
        "powder.price: must use a point for decimals and nothing between thousands "
        '(got "21,5 USD/kg")',
    ),
    "a comma without quotes": (
        "price = 15000",
        "price = 15,00  # quote",
        "(file): must use a point for decimals and nothing between thousands "
        "(got Expected newline or end of document after a statement)",
    ),
    "a week's delivery": (
        'buy_in_price = "3 USD/ft^2"',
        'buy_in_price = "3 USD/ft^2"\ndelivery = "12 USD/week"',
        'today.delivery: must be in a unit like "USD/order" (got "12 USD/week"); '
        "divide what a week costs by the orders of a week, today.orders",
    ),
    "a sum for a down payment": (
        'rate = "9 %/year"',
        'rate = "9 %/year"\ndown_payment = "4523 USD"',
        'financing."Bank loan".down_payment: must be in a unit like "%" (got "4523 USD"); '
        "a sum that is lent is written as amount instead",
    ),
    "a plain sum for a down payment": (
        'rate = "9 %/year"',
        'rate = "9 %/year"\ndown_payment = 4523',
        'financing."Bank loan".down_payment: must be a percentage such as "12 %" (got 4523); '
        "4523 is no share: as per cent it is more than 90 %; "
        "a sum that is lent is written as amount instead",
    ),
    "comma between thousands": (
        "price = 15000",
        'price = "15,000 USD"',
        'equipment."Set".price: must use a point for decimals and nothing between thousands '
        '(got "15,000 USD")',
    ),
    "ounces of liquid": (
        'price = "90 USD/L"',
        'price = "90 USD/L"\nfirst_fill = "12 oz"',
        'ink.first_fill: must be in a unit like "L" (got "12 oz"); '
        'fluid ounces are written "fl_oz"',
    ),
    "sign of currency": (
        "price = 15",
        'price = "$15"',
        f'{TEE}.price: must be an amount of money in USD (got "$15"); '
        'write the number first, as in "15 USD"',
    ),
    "infinite": ("price = 15", "price = inf", f"{TEE}.price: must be a finite number (got inf)"),
    "no number": ("price = 15", "price = nan", f"{TEE}.price: must be a finite number (got nan)"),
    "beyond floats": (
        "price = 15",
        'price = "1e400 USD"',
        f'{TEE}.price: must be a finite number (got "1e400 USD")',
    ),
    "huge": (
        "price = 15",
        "price = 0x" + "f" * 5000,
        f"{TEE}.price: must be a finite number (got a huge number)",
    ),
    "boolean": (
        "price = 15",
        "price = true",
        f"{TEE}.price: must be an amount of money in USD (got true)",
    ),
    "date": (
        "price = 15",
        "price = 2027-03-01",
        f"{TEE}.price: must be an amount of money in USD (got 2027-03-01)",
    ),
    "list": (
        "price = 15",
        "price = [1, 2]",
        f"{TEE}.price: must be an amount of money in USD (got a list of 2)",
    ),
    "table for a value": (
        "price = 15",
        "price = { amount = 15 }",
        f'{TEE}.price: must hold only low, likely, high, shape, source, date, basis (got "amount")',
    ),
    "date for a month": (
        'start = "2027-03"',
        "start = 2027-03-15",
        'start: must be a month from 1950 to 2200 such as "2027-03" (got 2027-03-15); '
        'write "2027-03", in quotes',
    ),
    "month 13": (
        'start = "2027-03"',
        'start = "2027-13"',
        'start: must be a month from 1950 to 2200 such as "2027-03" (got "2027-13")',
    ),
    "number for words": (
        'name = "Tee"',
        "name = 5",
        "products[0].name: must be words in quotes (got 5)",
    ),
    "blank name": (
        'name = "Tee"',
        'name = " "',
        'products[0].name: must be words in quotes (got " ")',
    ),
    "name on two lines": (
        'name = "Tee"',
        'name = "a\\nb"',
        'products."a\\nb".name: must be on one line, without control characters (got "a\ufffdb")',
    ),
    "text for a list": (
        'prints = ["10 in x 12 in"]',
        'prints = "10 in x 12 in"',
        f'{TEE}.prints: must be a list with at least one entry (got "10 in x 12 in"); '
        "put it in square brackets",
    ),
    "no print": (
        'prints = ["10 in x 12 in"]',
        "prints = []",
        f"{TEE}.prints: must be a list with at least one entry (got an empty list)",
    ),
    "a size without a unit": (
        'prints = ["10 in x 12 in"]',
        'prints = ["10 x 12 in"]',
        f'{TEE}.prints[0]: must be width x length, such as "10.5 in x 12.5 in" '
        '(got "10 x 12 in"); give a unit on both sides of the x',
    ),
    "half a size": (
        'prints = ["10 in x 12 in"]',
        'prints = ["10 in"]',
        f'{TEE}.prints[0]: must be width x length, such as "10.5 in x 12.5 in" (got "10 in")',
    ),
    "a size of nothing": (
        'prints = ["10 in x 12 in"]',
        'prints = ["0 in x 12 in"]',
        f'{TEE}.prints[0]: must be more than 0 m (got "0 in")',
    ),
    "a table for a size": (
        'roll = "24 in x 100 m"',
        'roll = { width = "24 in", length = "100 m" }',
        'film.roll: must be width x length, such as "10.5 in x 12.5 in" (got a table)',
    ),
    "unknown word": (
        'kind = "loan"',
        'kind = "Loan"',
        'financing."Bank loan".kind: must be one of "cash", "loan", "instalments", "lease" '
        '(got "Loan"); '
        'did you mean "loan"?',
    ),
    "word like none": (
        'kind = "loan"',
        'kind = "rent"',
        'financing."Bank loan".kind: must be one of "cash", "loan", "instalments", "lease" '
        '(got "rent")',
    ),
    "text for true": (
        "garment = 3",
        'garment = 3\npressed = "yes"',
        f'{TEE}.pressed: must be true or false (got "yes")',
    ),
    "days by the month": (
        "cash_at_start = 9000",
        'cash_at_start = 9000\nopen_days = "20 day/month"',
        'shop.open_days: must be counted per week, as in day/week (got "20 day/month")',
    ),
    "eight days a week": (
        "cash_at_start = 9000",
        'cash_at_start = 9000\nopen_days = "8 day/week"',
        'shop.open_days: must be at most 7 day/week (got "8 day/week")',
    ),
    "eleven months": (
        "cash_at_start = 9000",
        "cash_at_start = 9000\nseason = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11]",
        "shop.season: must be twelve positive numbers, January to December (got a list of 11)",
    ),
    "a month without sales": (
        "cash_at_start = 9000",
        "cash_at_start = 9000\nseason = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 0]",
        "shop.season[11]: must be more than 0 (got 0)",
    ),
    "a term too long": (
        'term = "48 months"',
        'term = "601 months"',
        'financing."Bank loan".term: must be at most 600 months (got "601 months")',
    ),
    "a broken term": (
        'term = "48 months"',
        'term = "4.2 months"',
        'financing."Bank loan".term: must be a whole number of months (got "4.2 months")',
    ),
    "a horizon too long": (
        'horizon = "60 months"',
        'horizon = "1201 months"',
        'horizon: must be at most 1200 months (got "1201 months")',
    ),
    "a yearly share without its year": (
        'rate = "9 %/year"',
        'rate = "9 %"',
        'financing."Bank loan".rate: must be in a unit like "%/year" (got "9 %"); '
        'say a year, as in "12 %/year"',
    ),
    "a locale of nowhere": (
        'currency = "USD"',
        'currency = "USD"\nlocale = "xx_YY"',
        'locale: must be a language and a country such as "en_US" (got "xx_YY")',
    ),
    "a locale that is a path": (
        'currency = "USD"',
        'currency = "USD"\nlocale = "../../en"',
        'locale: must be a language and a country such as "en_US" (got "../../en")',
    ),
    "prints of no product": (
        'currency = "USD"',
        'currency = "USD"\nprints = ["1 in x 1 in"]',
        "prints: must be a known key (got prints); prints belong to a product",
    ),
    "a sheet above the folder": (
        'file = "prints.csv"',
        'file = "../prints.csv"',
        'test_prints.file: must be a file beside the scenario (got "../prints.csv")',
    ),
    "a sheet by its full path": (
        'file = "prints.csv"',
        'file = "/etc/hosts"',
        'test_prints.file: must be a file beside the scenario (got "/etc/hosts")',
    ),
    "a sheet on another drive": (
        'file = "prints.csv"',
        "file = 'C:\\prints.csv'",
        r'test_prints.file: must be a file beside the scenario (got "C:\prints.csv")',
    ),
    "a sheet above, with other slashes": (
        'file = "prints.csv"',
        r"file = '..\prints.csv'",
        r'test_prints.file: must be a file beside the scenario (got "..\prints.csv")',
    ),
    "a sheet that is not there": (
        'file = "prints.csv"',
        'file = "print.csv"',
        "test_prints.file: must be a file that can be read "
        '(got "print.csv", no such file or directory); did you mean prints.csv?',
    ),
    "a folder for a sheet": (
        'file = "prints.csv"',
        'file = "."',
        'test_prints.file: must be a file (got ".", a folder)',
    ),
}


@pytest.mark.parametrize(("old", "new", "said"), CASES.values(), ids=CASES.keys())
def test_one_bad_input_is_one_line(
    faults: Callable[..., list[str]], edit: Callable[..., str], old: str, new: str, said: str
) -> None:
    text = edit(old, new)
    at = text.split("\n").index(new.split("\n")[-1]) + 1
    assert faults(text) == [f"shop.toml:{at}: {said}"]


TABLES: dict[str, tuple[Callable[[str], str], str]] = {
    "a key is missing": (
        lambda text: text.replace('wage = "18 USD/hour"\n', ""),
        "shop.toml:5: shop.wage: must be given (got nothing)",
    ),
    "a table is missing": (
        lambda text: text.replace('[powder]\nprice = "21 USD/kg"\n', ""),
        "shop.toml:1: powder: must be given (got nothing)",
    ),
    "a value where a table is expected": (
        lambda text: "powder = 5\n" + text.replace('[powder]\nprice = "21 USD/kg"\n', ""),
        "shop.toml:1: powder: must be a table (got 5)",
    ),
    "a list where a table is expected": (
        lambda text: text.replace("[powder]", "[[powder]]"),
        "shop.toml:28: powder: must be a table (got a list of 1); "
        "its header stands in single brackets: […]",
    ),
    "a table where a list is expected": (
        lambda text: text.replace("[[equipment]]", "[equipment]"),
        "shop.toml:34: equipment: must be a list with at least one entry (got a table); "
        "its header stands in double brackets: [[…]]",
    ),
    "no products": (
        lambda text: "products = []\n" + text.replace(_between(text, "[[products]]", "[ink]"), ""),
        "shop.toml:1: products: must be a list with at least one entry (got an empty list)",
    ),
    "numbers for products": (
        lambda text: "products = [5]\n" + text.replace(_between(text, "[[products]]", "[ink]"), ""),
        "shop.toml:1: products[0]: must be a table (got 5)",
    ),
}


def _between(text: str, start: str, end: str) -> str:
    return text[text.index(start) : text.index(end)]


@pytest.mark.parametrize(("change", "said"), TABLES.values(), ids=TABLES.keys())
def test_tables_and_values_are_not_mixed_up(
    faults: Callable[..., list[str]], shop: str, change: Callable[[str], str], said: str
) -> None:
    assert faults(change(shop)) == [said]


GOOD: dict[str, tuple[str, str]] = {
    "inches by their sign": ('roll = "24 in x 100 m"', "roll = '24\" x 100 m'"),
    "a mixed fraction": ('roll = "24 in x 100 m"', 'roll = "24 1/2 in x 100 m"'),
    "another sign for times": ('roll = "24 in x 100 m"', 'roll = "24 in \u00d7 100 m"'),
    "mils": ("roll_price = 168", 'roll_price = 168\ngap = "250 mil"'),
    "fluid ounces": ('price = "90 USD/L"', 'price = "2.66 USD/fl_oz"'),
    "an area with its power raised": (
        'print_speed = "30 ft^2/hour"',
        'print_speed = "30 ft²/hour"',
    ),
    "the longest horizon": ('horizon = "60 months"', 'horizon = "1200 months"'),
    "the longest term": ('term = "48 months"', 'term = "600 months"'),
    "years": ('term = "48 months"', 'term = "4 years"'),
    "a locale of the web": ('currency = "USD"', 'currency = "USD"\nlocale = "de-DE"'),
    "a name with brackets": ('name = "Tee"', 'name = "Tee [1].x"'),
}


@pytest.mark.parametrize(("old", "new"), GOOD.values(), ids=GOOD.keys())
def test_what_the_trade_writes_is_understood(
    faults: Callable[..., list[str]], edit: Callable[..., str], old: str, new: str
) -> None:
    assert faults(edit(old, new)) == []


def test_all_faults_come_at_once_by_file_and_line(
    faults: Callable[..., list[str]], shop: str, sheet: str
) -> None:
    text = shop.replace("garment = 3", "garment = true").replace('"21 USD/kg"', '"21 EUR/kg"')
    text = text.replace('prints = ["10 in x 12 in"]', 'prints = ["40 in x 40 in"]')
    text = text.replace('kind = "loan"', 'kind = "lease"')
    found = faults(
        text,
        sheet=sheet.replace("5.5", "six").replace("20,21.6", "20,19"),
        changes={"shop.wage": "5", "shop.wgae": "18 USD/hour"},
    )
    places = [line.split(": ")[0] for line in found]
    assert places == [
        "--set",
        "--set",
        "prints.csv:2",
        "shop.toml:15",
        "shop.toml:17",
        "shop.toml:29",
        "shop.toml:40",
    ]


def test_a_fault_found_twice_is_said_once(
    faults: Callable[..., list[str]], shop: str, sheet: str
) -> None:
    second = shop[shop.index("[[equipment]]") : shop.index("[[financing]]")].replace("Set", "Other")
    text = shop.replace("[[financing]]", f"{second}\n[[financing]]")
    found = faults(text.replace('["10 in x 12 in"]', '["30 in x 30 in"]'))
    assert len(found) == 1  # the film of both sets is the same


@pytest.mark.parametrize("value", [float("nan"), None, [], {}, "", "x" * 10_000, 10**400])
def test_a_bad_change_is_a_fault_at_the_change(
    faults: Callable[..., list[str]], value: Any
) -> None:
    (line,) = faults(changes={"shop.wage": value})
    assert line.startswith("--set: shop.wage: must ")
    assert len(line) < 250
