"""Answers as sentences, each with the figure it speaks of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.decide.answer import Answered, AnswerPage
from planner.decide.conditions import Condition
from planner.decide.evaluation import AGAINST_BUYING_IN, TODAY_ONLY, WHOLE_PLAN
from planner.decide.figures import Figures, PaybackTime
from planner.decide.ranking import cheapest, easiest
from planner.decide.solve import Crossing, Outcome
from planner.decide.verdict import Answer, Reason, Verdict
from planner.scenario.schema import Scenario
from planner.show.numbers import Numbers

COMPARISON_NAMES: Final = {
    TODAY_ONLY: "today's work only",
    AGAINST_BUYING_IN: "the plan against buying in",
    WHOLE_PLAN: "the whole plan against today",
}
COMPARISON_LETTERS: Final = {TODAY_ONLY: "A", AGAINST_BUYING_IN: "B", WHOLE_PLAN: "C"}
HEADLINE_FIRST: Final = (AGAINST_BUYING_IN, TODAY_ONLY, WHOLE_PLAN)
NOTHING_TO_COMPARE: Final = (
    "Compared with not taking the work: no price for bought-in transfers was given."
)
CAUTIONS: Final = (
    "This is a calculation from the figures given, not advice; before signing, ask an accountant, "
    "and a lawyer for the contract.",
    "Demand is given, not forecast. Taxes are simplified: ask your accountant which rule applies.",
    "The press and the dryer are hot; ink mist and powder dust need extraction, and the safety "
    "data sheets say which. Local codes and licensed trades decide on wiring and ventilation.",
)


def numbers_of(scenario: Scenario) -> Numbers:
    """How this scenario's numbers are written."""
    return Numbers(scenario.locale, scenario.currency, scenario.units)


def first_sentence(page: AnswerPage) -> str:
    """Yes, not yet or no, with the one reason."""
    verdict, numbers = page.verdict, numbers_of(page.scenario)
    name = page.best.choice.equipment.name
    match verdict.answer:
        case Answer.YES:
            return _yes(verdict, name, page.case.months, numbers)
        case Answer.NOT_YET:
            return _not_yet(verdict, name, page.case.months, numbers)
        case Answer.NO:
            return f"No: {name} {_why_not(verdict, page.case.months, numbers)}."


def _yes(verdict: Verdict, name: str, horizon: int, numbers: Numbers) -> str:
    months = numbers.months(verdict.months, limit=verdict.limit)
    gain, value = numbers.money(verdict.monthly_gain), numbers.money(verdict.value)
    if not verdict.has_buy_in_price:
        return (
            f"Yes, but only against not taking the work: {name} pays back in {months}, because a "
            f"month at full volume leaves {gain}; over {horizon} months it is worth {value} today."
        )
    return (
        f"Yes: {name} pays back in {months} against buying the same transfers in, because a month "
        f"at full volume leaves {gain} more; over {horizon} months it is worth {value} more today."
    )


def _not_yet(verdict: Verdict, name: str, horizon: int, numbers: Numbers) -> str:
    needed = numbers.pieces_per_week(verdict.pieces_needed)
    return f"Not yet, from {needed}: {name} {_why_not(verdict, horizon, numbers)}."


def _why_not(verdict: Verdict, horizon: int, numbers: Numbers) -> str:
    """What goes against it: how far it is from paying back, and the one reason."""
    planned = numbers.pieces_per_week(verdict.pieces_planned)
    match verdict.reason:
        case Reason.LATE:
            at_once = numbers.months(verdict.months_if_at_once)
            why = (
                f"because the volume comes late: all of it from the first month would pay it back "
                f"in {at_once}"
            )
        case Reason.FEW:
            why = f"because the planned {planned} are too few"
        case Reason.DEARER:
            why = (
                "because a transfer made here costs more than one bought in at any volume it can "
                "print"
            )
        case _:
            why = "because no volume that it can print pays it back in time"
    return f"{_how_far(verdict, horizon, numbers)}, {why}"


def _how_far(verdict: Verdict, horizon: int, numbers: Numbers) -> str:
    if verdict.months is None:
        return f"does not pay back within {horizon} months, short by {numbers.money(verdict.short)}"
    months = numbers.months(verdict.months, limit=verdict.limit)
    if verdict.months > verdict.limit:
        limit = numbers.months(verdict.limit)
        return f"pays back in {months}, later than the {limit} asked for"
    return f"pays back in {months} but is worth {numbers.money(verdict.value)} today"


def opening(page: AnswerPage) -> tuple[str, ...]:
    """What the answer page opens with: the comparison made, then the first sentence."""
    sentence = first_sentence(page)
    return (sentence,) if page.verdict.has_buy_in_price else (NOTHING_TO_COMPARE, sentence)


def payback_words(time: PaybackTime, *, horizon: int, numbers: Numbers) -> str:
    """A payback, or how much is short."""
    if time.months is None:
        return f"not within {horizon} months, short by {numbers.money(time.short)}"
    if time.months == 0:
        return "never below zero"
    return numbers.months(time.months, limit=horizon)


def payback_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """The three comparisons read out, the headline first."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    before = tax_words(page.scenario)
    for name in HEADLINE_FIRST:
        time = answered.figures.payback[name]
        value = numbers.money(answered.figures.net_present_value[name])
        words = payback_words(time, horizon=horizon, numbers=numbers)
        label = COMPARISON_NAMES[name]
        yield (
            f"{COMPARISON_LETTERS[name]}, {label}: it {_clause(time, words)}; worth {value} today "
            f"over {horizon} months, before financing and {before}."
        )


def _clause(time: PaybackTime, words: str) -> str:
    if time.months is None:
        return f"does not pay back {words.removeprefix('not ')}"
    return "needs no payback: no money is in" if time.months == 0 else f"pays back in {words}"


def tax_words(scenario: Scenario) -> str:
    """Whether figures are before or after tax."""
    return "before tax" if scenario.tax is None else "after tax"


def own_cash_sentence(page: AnswerPage, answered: Answered) -> str:
    """Payback of own cash with the financing of the choice."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    time = answered.figures.payback_own_cash[AGAINST_BUYING_IN]
    words = payback_words(time, horizon=horizon, numbers=numbers)
    return (
        f"With {answered.choice.financing.name}, counting own cash only, the plan against buying "
        f"in {_clause(time, words)}."
    )


def every_hour_sentence(page: AnswerPage, answered: Answered) -> str:
    """What the headline becomes when no hour is free."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    paid = answered.figures.every_hour_paid
    months = paid.payback_months[AGAINST_BUYING_IN]
    value = numbers.money(paid.net_present_value[AGAINST_BUYING_IN])
    back = (
        f"pays back in {numbers.months(months, limit=horizon)}"
        if months is not None
        else f"does not pay back within {horizon} months"
    )
    return f"With every hour of work paid for, the plan against buying in {back}, worth {value}."


def hours_sentence(page: AnswerPage) -> str:
    """Hours of work a week at full volume."""
    more = page.hours_with - page.hours_without
    return (
        f"At full volume the work takes {page.hours_with:.1f} hours a week with the machine and "
        f"{page.hours_without:.1f} with bought-in transfers, {abs(more):.1f} "
        f"{'more' if more >= 0 else 'fewer'}."
    )


def break_even_sentences(page: AnswerPage, answered: Answered) -> Iterator[str]:
    """Break-evens read out, each with what it asks of."""
    figures, numbers = answered.figures, numbers_of(page.scenario)
    found, pieces = figures.break_even, figures.weekly_pieces
    burden = (
        "the equipment's monthly cost"
        if answered.choice.financing.kind == "cash"
        else "the payments"
    )
    capacity = numbers.pieces_per_week(pieces * found.capacity)
    yield (
        f"All this work, machine included, covers its costs and {burden} from "
        f"{_pieces(found.monthly, pieces, numbers)}; {capacity} fill the shop."
    )
    yield (
        f"Over {page.case.months} months it earns its money back from "
        f"{_pieces(found.lifetime, pieces, numbers)}."
    )
    if found.price.value is not None:
        yield (
            f"At the planned volume, selling prices could fall to "
            f"{numbers.percent(found.price.value)} of those given before it is worth nothing."
        )
    yield _added_sentence(figures, numbers)


def _pieces(crossing: Crossing, pieces: float, numbers: Numbers) -> str:
    if crossing.value is not None:
        return numbers.pieces_per_week(crossing.value * pieces)
    if crossing.outcome is Outcome.ALWAYS:
        return "any volume"
    return "no volume within capacity"


def _added_sentence(figures: Figures, numbers: Numbers) -> str:
    requirement = figures.added_work
    what = "added work" if requirement.lever == "added" else "planned work"
    match requirement.crossing.outcome:
        case Outcome.ALWAYS:
            return f"Against buying in it is worth more even with none of the {what}."
        case Outcome.NEVER:
            return f"Against buying in, no amount of {what} within capacity makes it worth more."
        case _:
            share = requirement.crossing.value or 0.0
            return (
                f"Against buying in it needs {numbers.percent(share)} of the {what}: a margin of "
                f"safety of {numbers.percent(1 - share)}."
            )


def make_or_buy_sentence(page: AnswerPage, answered: Answered) -> str:
    """From which weekly area making transfers is cheaper than buying them."""
    found, numbers = answered.figures.make_or_buy, numbers_of(page.scenario)
    if found is None:
        return "Make or buy cannot be judged: no price for bought-in transfers was given."
    planned = numbers.area_per_week(found.weekly_area)
    if found.by_cost.value is not None:
        area = numbers.area_per_week(found.by_cost.value * found.weekly_area)
        return (
            f"Making a transfer, every hour costed, stays cheaper than buying it from {area}; "
            f"{planned} are planned."
        )
    if found.by_cost.outcome is Outcome.ALWAYS:
        return f"Making a transfer is cheaper than buying it at any volume; {planned} are planned."
    return (
        f"Making a transfer costs more than buying it at any volume within capacity; {planned} "
        f"are planned."
    )


def condition_words(condition: Condition, numbers: Numbers) -> str:
    """One condition: met or not, its figure, its limit and the distance."""
    state = "met" if condition.met else "not met"
    if condition.figure is None:
        return f"{state}: {condition.condition} {_value(condition.limit, condition, numbers)} (no)"
    figure = _value(condition.figure, condition, numbers)
    limit = _value(condition.limit, condition, numbers)
    distance = _value(abs(condition.distance or 0.0), condition, numbers)
    return f"{state}: {condition.condition} {limit}; it is {figure}, {distance} from the limit"


def _value(value: float, condition: Condition, numbers: Numbers) -> str:
    match condition.unit:
        case "month":
            return numbers.months(value)
        case "money":
            return numbers.money(value)
        case "ratio":
            return f"{value:.2f}"


def cash_sentence(page: AnswerPage, answered: Answered) -> str:
    """The lowest bank balance and its month."""
    cash, numbers = answered.figures.cash, numbers_of(page.scenario)
    when = "at signing" if cash.lowest_month == 0 else f"at the end of month {cash.lowest_month}"
    most_in = numbers.money(max(0.0, -cash.most_money_in))
    return (
        f"With {answered.choice.financing.name} the lowest balance is {numbers.money(cash.lowest)}"
        f", {when}; the most own money that is in is {most_in}."
    )


def paying_sentence(page: AnswerPage, answered: tuple[Answered, ...]) -> str:
    """Which way to pay costs least and which is easiest on cash, by how much."""
    numbers = numbers_of(page.scenario)
    least, gap, is_clear = cheapest(answered)
    light, room = easiest(answered)
    cost = (
        f"{least.choice.financing.name} costs least, by {numbers.money(gap)} of present cost"
        if is_clear
        else "There is no clear difference in present cost between the two cheapest ways to pay"
    )
    if is_clear and least.figures.cash.lowest < 0:
        cost += f", but takes the bank balance to {numbers.money(least.figures.cash.lowest)}"
    return (
        f"{cost}; {light.choice.financing.name} is easiest on cash, with a lowest balance "
        f"{numbers.money(room)} above the next."
    )


def influence_sentences(page: AnswerPage, *, most: int = 3) -> Iterator[str]:
    """The inputs that the headline depends on most, each moved alone over its range."""
    if not page.influences:
        yield "What matters most cannot be said: no input has a range."
        return
    numbers = numbers_of(page.scenario)
    yield "What matters most, each moved alone from the low to the high end of its range:"
    for one in page.influences[:most]:
        ends = f"{numbers.money(one.at_low)} to {numbers.money(one.at_high)}"
        yield f"  {one.estimate.key} ({one.estimate.basis}): worth {ends} against buying in"


def sources_sentence(page: AnswerPage) -> str:
    """How many inputs are measured, from accounts, quoted, estimated or defaults."""
    from planner.scenario.tree import inputs

    counts: dict[str, int] = {}
    for estimate in inputs(page.scenario):
        counts[estimate.basis or "estimated"] = counts.get(estimate.basis or "estimated", 0) + 1
    order = ("measured", "accounts", "quoted", "estimated", "default")
    said = ", ".join(f"{counts.get(name, 0)} {name}" for name in order)
    return f"Inputs by basis: {said}."


RATE_NOTE: Final = (
    "The annual percentage rate is worked out by the method of Regulation Z (12 CFR 1026, "
    "Appendix J); it is not a disclosure. Business credit stands outside that regulation. Ask an "
    "accountant which tax rule applies, and a lawyer before signing."
)


def payback_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the payback chart."""
    numbers, horizon = numbers_of(page.scenario), page.case.months
    time = answered.figures.payback[AGAINST_BUYING_IN]
    words = payback_words(time, horizon=horizon, numbers=numbers)
    against = "buying in" if page.verdict.has_buy_in_price else "not taking the work"
    return f"Against {against} it {_clause(time, words)}"


def cash_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the cash-flow chart."""
    cash, numbers = answered.figures.cash, numbers_of(page.scenario)
    floor = page.scenario.conditions.cash_never_below
    lowest = numbers.money(cash.lowest)
    if floor is None:
        return f"The bank balance is never below {lowest}"
    limit = page.case.values.scalar(floor)
    if cash.lowest >= limit:
        return (
            f"The bank balance stays above the {numbers.money(limit)} that the shop wants to keep"
        )
    return f"The bank balance falls to {lowest}, under the {numbers.money(limit)} wanted"


def station_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the chart of stations."""
    busiest = answered.figures.busiest
    numbers = numbers_of(page.scenario)
    share = numbers.percent(busiest.share)
    if busiest.share >= 1:
        return f"The {busiest.station} is asked for {share} of its hours in month {busiest.month}"
    station = f"The fullest station is the {busiest.station}"
    return f"{station}: {share} of its hours in month {busiest.month}"


def overflow_sentence(page: AnswerPage, answered: Answered) -> str:
    """What cannot be made: bought in a hurry and lost, over the horizon."""
    numbers, ledger = numbers_of(page.scenario), answered.evaluation.plan.ledger
    hurried = -float(ledger.line("transfers bought in a hurry").sum())
    lost = -float(ledger.line("sales lost").sum())
    return (
        f"Over {page.case.months} months, days down and full stations make the shop buy transfers "
        f"for {numbers.money(hurried)} in a hurry and lose sales of {numbers.money(lost)}."
    )


def print_cost_sentence(page: AnswerPage) -> str:
    """Full cost and price of every product."""
    numbers = numbers_of(page.scenario)
    said = [
        f"{one.product} costs {numbers.money(one.full, cents=True)} with labour and its share of "
        f"overheads, {numbers.money(one.with_equipment, cents=True)} with the equipment, and sells "
        f"for {numbers.money(one.price, cents=True)}"
        for one in page.prints
    ]
    return "; ".join(said) + "."


def print_cost_heading(page: AnswerPage) -> str:
    """The finding of the print-cost chart: the largest part of the first product."""
    one = page.prints[0]
    part = max(one.parts, key=lambda name: one.parts[name])
    share = numbers_of(page.scenario).percent(one.parts[part] / one.full)
    return f"The largest part of {one.product} is {part}: {share} of its full cost"


def film_sentence(page: AnswerPage) -> str:
    """What layout adds to the materials of the first product."""
    numbers, one = numbers_of(page.scenario), page.prints[0]
    laid_out = one.parts["ink"] + one.parts["film"] + one.parts["powder"]
    return (
        f"By area only, ink, film and powder of {one.product} would cost "
        f"{numbers.money(one.area_only, cents=True)}; laid out on the roll, with rejects and "
        f"redone work, they cost {numbers.money(laid_out, cents=True)}. The picture takes "
        f"{numbers.percent(one.film_use)} of the film."
    )


def measured_sentence(page: AnswerPage) -> str:
    """How many test prints the rates rest on."""
    count = len(page.scenario.prints)
    if count == 1:
        return "The rates rest on one test print: nothing can be said of how far they may be off."
    return (
        f"The rates rest on {count} test prints; the standard error says how far they may be off."
    )


def break_even_heading(page: AnswerPage, answered: Answered) -> str:
    """The finding of the break-even chart."""
    numbers, figures = numbers_of(page.scenario), answered.figures
    pieces = _pieces(figures.break_even.monthly, figures.weekly_pieces, numbers)
    return f"All this work, machine included, breaks even at {pieces}"


def make_or_buy_note(page: AnswerPage, answered: Answered) -> str:
    """What the two make-or-buy figures count."""
    found, numbers = answered.figures.make_or_buy, numbers_of(page.scenario)
    if found is None or found.by_value.value is None:
        return "Every hour is costed here, whether it is paid or not, and pressing is left out."
    area = numbers.area_per_week(found.by_value.value * found.weekly_area)
    return (
        "Every hour is costed here, whether it is paid or not, and pressing is left out. By net "
        "present value, which also counts work that bought transfers cannot serve, unpaid hours "
        f"and tax, making is worth more from {area}."
    )


def paying_heading(page: AnswerPage, answered: tuple[Answered, ...]) -> str:
    """The finding of the financing chart."""
    least, _, is_clear = cheapest(answered)
    light, _ = easiest(answered)
    cost = "No clear difference in cost"
    if is_clear:
        cost = f"{least.choice.financing.name} is cheapest"
        cost += ", but more than the bank holds" if least.figures.cash.lowest < 0 else ""
    return f"{cost}; {light.choice.financing.name} is easiest on cash"


def cover_sentence(page: AnswerPage, answered: Answered) -> str:
    """The lowest debt service cover and what it is measured on."""
    cover, scenario = answered.figures.cover, page.scenario
    if cover.lowest is None:
        return "No debt payments fall due, so there is nothing to cover."
    least = page.case.values.scalar(scenario.lender.debt_service_cover_at_least)
    what = (
        f"of the whole shop, {scenario.lender.measures}"
        if cover.shop is not None
        else "of the project alone; the shop's cash flow is not stated"
    )
    state = "reaches" if cover.lowest >= least else "stays under"
    return (
        f"With {answered.choice.financing.name} the lowest yearly cover in the plan against buying "
        f"in is {cover.lowest:.2f} ({what}); it {state} the {least:.2f} asked for."
    )
