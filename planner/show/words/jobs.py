"""Single orders and the price list read out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from babel.numbers import get_currency_precision

from planner.decide.answer import AnswerPage
from planner.decide.asking import rush_surcharges
from planner.decide.job import Job, JobLine, Margins, prints
from planner.decide.pictured import Pictured
from planner.scenario.estimates import Values
from planner.scenario.schema import Rectangle, Selling, Spoilage
from planner.show.numbers import Numbers
from planner.show.words.common import numbers_of


def price_words(price: float, numbers: Numbers) -> str:
    """A price to ask, rounded up to the smallest coin, so that the margin is not missed."""
    coins: int = 10 ** get_currency_precision(numbers.currency)
    return numbers.money(math.ceil(price * coins - 1e-6) / coins, cents=True)


def size_words(size: Rectangle, numbers: Numbers, values: Values) -> str:
    """The size of a print in the scenario's units."""
    sides = (values.scalar(size.width), values.scalar(size.length))
    return " x ".join(numbers.length(side) for side in sides)


def order_sentence(page: AnswerPage, job: Job) -> str:
    """What an order is: pieces, prints, garments, new designs, hurry."""
    numbers, values = numbers_of(page.scenario), page.case.values
    said = [_line_words(line, numbers, values) for line in job.lines]
    designs = sum(line.new_designs for line in job.lines)
    said.append(f"{_count(designs, 'new design')} to draw")
    if job.is_rush:
        said.append("in a hurry")
    return f"{job.name}: {'; '.join(said)}."


def _line_words(line: JobLine, numbers: Numbers, values: Values) -> str:
    product = line.product
    sizes = [size_words(size, numbers, values) for size in product.prints]
    if not product.pressed:
        what = f"{_count(line.pieces, 'piece')} sold loose, {_and(sizes)}"
    else:
        named = f" of {line.ordered.product}" if line.ordered.product else ""
        own = ", the customer's own," if product.garment_supplied else ""
        what = f"{_count(line.pieces, 'piece')}{named}{own} with {_prints(sizes)}"
    filled, coverage = values.scalar(product.filled), values.scalar(product.coverage)
    if filled != 1:
        what += f", {numbers.percent(filled)} of it filled"
    if coverage != 1:
        what += f", ink and powder at {numbers.percent(coverage)} of the rates"
    return what


def _prints(sizes: list[str]) -> str:
    return f"a print of {sizes[0]}" if len(sizes) == 1 else f"prints of {_and(sizes)}"


def _count(number: int, what: str) -> str:
    return f"{number or 'no'} {what}{'' if number == 1 else 's'}"


def _and(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def rate_sentences(job: Job) -> Iterator[str]:
    """Which lines have rates of their own, and how much they rest on."""
    for line in job.lines:
        if line.ordered.design is None or line.own is None:
            continue
        rests = f'Ink and powder of "{line.ordered.design}" are those of its own test print'
        if line.own.prints == 1:
            yield f"{rests}: one print has no interval, so nothing says how far off it may be."
        else:
            yield f"{rests}s, {line.own.prints} of them."


def picture_sentences(page: AnswerPage, found: Pictured) -> Iterator[str]:
    """What a picture covers, the ink of the order from it, and the same by the pooled rates."""
    numbers, values = numbers_of(page.scenario), page.case.values
    picture, covered = found.picture, found.job.use.covered
    coverage, fit = picture.coverage, picture.fit
    yield (
        f"{picture.name}: white covers {numbers.percent(coverage.white)} of its box, colour ink "
        f"{numbers.percent(coverage.colour)}, where one full layer is 100%."
    )
    white, colour = (
        f"{numbers.plain(1000 * litres)} mL of {name}, give or take "
        f"{numbers.plain(1000 * error * covered, figures=2)} mL"
        for name, litres, error in (
            ("white", found.job.use.white, picture.use.white.error),
            ("colour ink", found.job.use.colour, picture.use.colour.error),
        )
    )
    yield (
        f"By {fit.pictures} test prints whose pictures are known it takes {white}, and {colour}: "
        "that is the root mean square error on prints held out of the fit."
    )
    use = found.pooled.use
    yield (
        f"The average print would take {numbers.plain(1000 * use.white)} mL of white and "
        f"{numbers.plain(1000 * use.colour)} mL of colour ink; with it the order would cost "
        f"{numbers.money(found.pooled.full, cents=True)} instead of "
        f"{numbers.money(found.job.full, cents=True)} in full."
    )
    for note in picture.use.notes:
        yield f"{note[0].upper()}{note[1:]}."
    for size in found.misshapen:
        said = size_words(size, numbers, values)
        yield f"A print of {said} is not of the picture's shape: check its size or the picture."


def garment_sentences(job: Job, values: Values) -> Iterator[str]:
    """Garments that are pressed on and cost nothing."""
    for line in job.lines:
        product = line.product
        if product.pressed and not values.scalar(product.garment):
            if product.garment_supplied:
                yield "What replacing a garment costs that is spoiled is not in it."
            else:
                yield "The garment is not in it."


def use_sentence(job: Job, numbers: Numbers) -> str:
    """Ink, powder, film and hours of an order."""
    use = job.use
    white, colour, powder = (
        numbers.plain(1000 * amount) for amount in (use.white, use.colour, use.powder)
    )
    return (
        f"It takes {white} mL of white and {colour} mL of colour ink, {powder} g of powder, "
        f"{numbers.length(use.film)} of film and {numbers.plain(60 * use.hours)} minutes of work; "
        f"laid out once, it is {numbers.length(use.strip)} long."
    )


def spoilage_sentence(spoilage: Spoilage, numbers: Numbers, values: Values) -> str:
    """How rejects, spoiled garments and redone work are counted."""
    shares = {
        "transfers rejected": spoilage.transfers,
        "garments spoiled": spoilage.garments,
        "work redone": spoilage.redone,
    }
    said = [f"{name} ({numbers.percent(values.scalar(one))})" for name, one in shares.items()]
    return f"{_and(said).capitalize()} are in each part as shares, not as whole pieces."


def price_sentences(job: Job, selling: Selling, numbers: Numbers) -> Iterator[str]:
    """The price at the wanted margin, surcharge and minimum order after it, and the offer."""
    asked, share = job.asked, numbers.percent(job.asked.margin)
    if asked.at_margin is None or asked.price is None:
        fee = numbers.percent(job.fee_share)
        yield (
            f"No price leaves a margin of {share}: with a payment fee of {fee} nothing is left "
            "of it to pay for the order."
        )
    else:
        yield (
            f"A margin of {share} of the price, over full cost with the equipment, asks for "
            f"{_per_piece(asked.at_margin, job, numbers)}."
        )
        yield from _surcharge(job, selling, numbers)
        if asked.set_by == "minimum order":
            yield f"The minimum order is more: {price_words(asked.minimum, numbers)}."
        if asked.set_by != "margin":
            margins = _margin_words(job.margins(asked.price), numbers)
            yield f"Price to ask: {_per_piece(asked.price, job, numbers)}; {margins}."
        else:
            full = numbers.percent(job.margins(asked.price).full)
            yield f"Over full cost without the equipment that is a margin of {full}."
    if job.offered is not None:
        yield _offer(job, job.offered, numbers)


def _surcharge(job: Job, selling: Selling, numbers: Numbers) -> Iterator[str]:
    surcharged = job.asked.surcharged
    if not job.is_rush or surcharged is None:
        return
    if selling.rush is None:
        yield "It is in a hurry, but no surcharge is stated: give selling.rush."
        return
    extra = numbers.percent(job.asked.rush)
    yield f"The surcharge of {extra} for a hurry makes it {price_words(surcharged, numbers)}."


def _per_piece(price: float, job: Job, numbers: Numbers) -> str:
    whole = price_words(price, numbers)
    return (
        f"{whole}, {price_words(price / job.pieces, numbers)} a piece" if job.pieces > 1 else whole
    )


def _margin_words(margins: Margins, numbers: Numbers) -> str:
    with_equipment, full = (
        numbers.percent(margin) for margin in (margins.with_equipment, margins.full)
    )
    return f"its margin is {with_equipment} with the equipment, {full} over full cost without it"


def _offer(job: Job, offered: float, numbers: Numbers) -> str:
    margins = job.margins(offered)
    if margins.with_equipment is None:
        return "A price of nothing has no margin: all that the order costs is lost."
    said = numbers.money(offered, cents=True)
    if job.pieces > 1:
        said += f", {numbers.money(offered / job.pieces, cents=True)} a piece"
    left = numbers.money(abs(offered * margins.with_equipment), cents=True)
    kept = f"leaves {left}" if margins.with_equipment >= 0 else f"loses {left}"
    return f"At the price offered, {said}, the order {kept}: {_margin_words(margins, numbers)}."


def orders_sentence(page: AnswerPage) -> str:
    """What stands in the table of orders, or why there is none."""
    if not prints(page):
        return "Single orders are not costed: the set spoken of only presses."
    if not page.scenario.orders:
        return "No single orders are given."
    return (
        "Each order is costed alone on the machine spoken of, with its share of overheads and of "
        "the equipment by printed area, every hour costed, paid or not. The price leaves the "
        "margin asked for over all of that, the fee for its payment included."
    )


def rush_sentence(page: AnswerPage) -> str:
    """What surcharges would bring beside the plan."""
    rush, found = page.scenario.selling.rush, rush_surcharges(page)
    if rush is None or found is None:
        return "No surcharge for orders in a hurry is stated."
    numbers, values = numbers_of(page.scenario), page.case.values
    share, extra = (numbers.percent(values.scalar(one)) for one in (rush.share, rush.extra))
    return (
        f"Were {share} of sales in a hurry and charged {extra} more, that would bring "
        f"{numbers.money(found)} in a month at full volume, on top of the plan, which holds none "
        "of it."
    )


def price_list_sentence(page: AnswerPage) -> str:
    """What the price list holds and why it never rises with the quantity."""
    if not prints(page):
        return "There is no price list: the set spoken of only presses."
    numbers, selling = numbers_of(page.scenario), page.scenario.selling
    margin = numbers.percent(page.case.values.scalar(selling.margin))
    least = page.case.values.scalar(selling.minimum_order)
    minimum = f", and at least {price_words(least, numbers)} an order" if least else ""
    return (
        f"Each price is that of a piece in an order of one new design at a margin of {margin} over "
        f"full cost with the equipment{minimum}. By size the garment is not in it; a product comes "
        "with its own. Rows of film fill unevenly, so that a few pieces more can cost more apiece: "
        "a smaller quantity is then priced like the larger one, never lower."
    )
