"""What goes wrong in files: values, numbers, units and words that somebody could write or paste."""

from __future__ import annotations

from typing import Final

DEEP: Final = "[" * 3_000 + "]" * 3_000
LONG: Final = "x" * 20_000

# What may stand where another kind of value is expected.
OTHER_KINDS: Final = (
    *("true", "false", "7", "-7", "0", "0.0", "-0.0", "1.5", "[]", "{}", '""', "''", '" "'),
    *("[1, 2]", '["a", 1]', "[[1], [2]]", "{ a = 1 }", "{ likely = 3 }", "2027-03-01"),
    *("1979-05-27T07:32:00Z", "07:32:00", '"words"', '"2027-03"', '"12 months"', '"5 %"'),
    *("{ low = 1, likely = 2 }", '{ likely = "3 USD", low = 9, high = 1 }', '"none"', "[{}]"),
    *("{ low = 1, likely = 2, high = 3, shape = 7 }", '{ likely = 1, source = "\\u001b[2J" }'),
    *("[true]", "{ likely = { likely = 1 } }", "[nan]", '{ likely = "2 kg", basis = "hearsay" }'),
)

# What may stand in the place of a number.
NUMBERS: Final = (
    *("0", "-1", "1e12", "-1e12", "1e13", "1e-12", "1e-300", "1e300", "1e400", "-1e400", "5e-324"),
    *("nan", "inf", "-inf", "+inf", "NaN", "Infinity", "0x1F", "0b11", "0o17", "1_000", "007"),
    *("9007199254740993", "9" * 400, "9" * 5_000, "0." + "3" * 400, "1e", "1e+", "--5", "+5"),
    *("1.2.3", "5.", ".5", "1,5", "1.234,56", "1,234.56", "1 234", "1'234", "1\u00a0234"),
    *("1\u202f234", "\u0661\u0662", "\u0967\u0968", "\uff11\uff12", "\u06f5\u066b\u06f5"),
    *("\u00bd", "1\u00bd", "\u2212" + "5", "5\u2013", "\u221e", "\u4e94", "1/0", "1/3", "3 1/2"),
    *("0.01", "100", "1200", "10000", "50 %", "$5", "5$", "\u20ac5", "1e6", "999999", "0.1"),
)

# What may be asked of a number, times its own worth.
FACTORS: Final = (0.0, -1.0, 0.01, 100.0, 1e-3, 1e3, 1e-6, 1e6, 1e9, 1.0000001, 0.5, 2.0)

UNITS: Final = (
    *("USD", "EUR", "XXX", "usd", "$", "%", "%/year", "% per year", "%/year effective", "m", "cm"),
    *("mm", "in", '"', "ft", "yd", "mil", "ft^2", "sq ft", "m\u00b2", "m^3", "m^9999", "m**2"),
    *("L", "l", "mL", "fl oz", "gal", "kg", "g", "lb", "oz", "hour", "h", "min", "s", "day"),
    *("days", "week", "month", "months", "year", "kW", "W", "V", "kWh", "piece/week"),
    *("USD/hour", "USD/USD", "hour/hour/hour", "/", "//", "/week", "week/", "USD per", "per per"),
    *(
        "USD/ft^2",
        "piece/day",
        "order/week",
        "min/print",
        "min/design",
        "roll",
        "m/roll",
        "run/day",
    ),
    *("\u043c", "\u5186", "\u200b", "kgs", "metres", "inchs", "Kg", "HOUR", "hour ", "a" * 3_000),
    *("{0}", "%s", "__import__('os')", "USD/ft^2/week/year/month", "effective", "of price", "1"),
)

# Words, each a TOML string. They may be shown, and must never be obeyed.
WORDS: Final = (
    '"<script>alert(1)</script>"',
    '"</style><img src=x onerror=alert(1)>"',
    '"=HYPERLINK(\\"http://example.invalid\\")"',
    *('"+1+1"', '"-1-1"', '"@SUM(A1)"', '"\\t=1"', '"{0.__class__}"', '"{{7*7}}"', '"{% x %}"'),
    *('"%s%n%(a)s"', '"\\u001b[31mred\\u001b[0m"', '"\\u009b2J"', '"a\\u0000b"', '"a\\nb"'),
    *(
        '"\\u202eevil\\u202c"',
        '"\\u05e9\\u05dc\\u05d5\\u05dd"',
        '"\\u0645\\u0631\\u062d\\u0628\\u0627"',
    ),
    *('"\\u200b"', '"\\ufeff"', '"e\\u0301"', '"\\U0001f5a8\\ufe0f"', '"\\U0010ffff"', '"\\ufdd0"'),
    *('"#set page(width: 1pt)"', '"#read(\\"/etc/hostname\\")"', '"$x^2$"', '"[x](javascript:1)"'),
    *("'''", '"""', '"unclosed', "'unclosed", '"\\x"', '"\\ud800"', '"\\"', "\u201cquoted\u201d"),
    *(
        '"../../etc/hostname"',
        '"/etc/hostname"',
        '"C:\\\\x"',
        '"con"',
        '"."',
        '".."',
        '"a/../../b"',
    ),
    *('"shop.toml"', '"prints.csv/"', '"PRINTS.CSV"', '"artwork/none.png"', '"~"', '"$HOME"'),
    *(f'"{LONG}"', '"' + "\u0e01\u0e33" * 90 + '"', '"' + "W" * 199 + '"', "\"__import__('os')\""),
    *('"cash"', '"loan"', '"lease"', '"EUR"', '"xx"', '"zz_ZZ"', '"ar_EG"', '"fa_IR"', '"de_CH"'),
    *('"JPY"', '"KWD"', '"XAU"', '"metric"', '"INCH"', '"Straight Line"', '"2200-12"', '"1950-01"'),
)

CELLS: Final = (
    *("=1+1", "+1+1", "-1", "@SUM(A1)", '"', '""', '"a', 'a"b', "a,b", "\x00", "\x1b[2J", "\r"),
    *("<b>", "{0}", "", " ", "\t", "\u202e", "../../x.png", "/etc/hostname", "artwork/no.png"),
    *("1;2", "12 in", "12 mL", "n/a", "-", "~5", "5?", "1e99", "1e-99", LONG, "#REF!", "#N/A"),
)

UNITS_OF_COLUMNS: Final = (
    *("[in]", "[cm]", "[m]", "[mL]", "[L]", "[g]", "[kg]", "[oz]", "[fl oz]", "[lb]", "[g/mL]"),
    *("", "[]", "[[g]]", "[g", "g]", "(g)", "[g][g]", "[%]", "[USD]", "[ft^2]", "[\u00b5L]"),
    *("[ g ]", "[G]", "[mil]", "[hour]", "[g/m^2]", "[\u0433]", "[g}"),
)
