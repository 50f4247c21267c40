"""What one order costs, part by part, and the price that it needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from planner.case import Case
from planner.decide.answer import AnswerPage
from planner.decide.asking import Asked, asked
from planner.decide.prints import good_area, overhead_an_area, running_energy
from planner.decide.steady import equivalent_monthly_cost
from planner.plan import Plan, value_of
from planner.scenario.estimates import Estimate, Number, Values
from planner.scenario.faults import PlannerError
from planner.scenario.schema import Order, OrderLine, Product, Scenario, TestPrint
from planner.shop import costs
from planner.shop.labour import Hours, full_wage
from planner.shop.machine import Setting
from planner.shop.volume import Volume, area_and_hours, volume_of
from planner.shop.work import work_made
from planner.usage.layout import Piece, strip_length
from planner.usage.materials import Rates, piece_use, product_area
from planner.usage.test_prints import measured_rates

MATERIAL: Final = ("garment", "ink", "film", "powder")
PARTS: Final = (
    *MATERIAL,
    "artwork",
    "set-up",
    "printing",
    "cutting",
    "pressing",
    "waiting for a cold peel",
    "packing",
    "energy",
    "payment fee",
    "upkeep and overheads",
)


class JobError(PlannerError):
    """An order that this choice cannot print, and so cannot be costed."""


@dataclass(frozen=True, kw_only=True)
class Bench:
    """The machine on which orders are costed, in a steady month at month-1 prices.

    ``overhead`` is all that belongs to no single print, ``equipment`` the equivalent monthly cost
    of the equipment, both by planned good area [money/m²].
    """

    setting: Setting
    overhead: float
    equipment: float

    @property
    def scenario(self) -> Scenario:
        """The scenario."""
        return self.setting.scenario

    @property
    def values(self) -> Values:
        """What its inputs are worth."""
        return self.setting.values


@dataclass(frozen=True, kw_only=True)
class OwnRates:
    """Ink and powder of one picture, which hold for its prints instead of the pooled rates.

    ``white`` and ``colour`` ink [L/m²], ``powder`` that stays on the film [kg/m²], all by printed
    area; ``prints`` test prints stand behind them [-].
    """

    white: float
    colour: float
    powder: float
    prints: int


@dataclass(frozen=True, kw_only=True)
class JobLine:
    """A line as it was ordered, and as so many ``pieces`` [-] of a product.

    ``own`` are rates that hold instead of the pooled ones.
    """

    ordered: OrderLine
    product: Product
    pieces: int
    new_designs: int
    own: OwnRates | None


@dataclass(frozen=True, kw_only=True)
class JobUse:
    """What an order takes, rejects, spoiled garments and redone work included.

    ``covered`` is the printed area times its coverage [m²]; ``strip`` the film on which the order
    is laid out once [m], ``film`` what is fed [m], ends of runs and of rolls aside; inks [L],
    ``powder`` bought [kg], ``hours`` of work.
    """

    covered: float
    strip: float
    film: float
    white: float
    colour: float
    powder: float
    hours: float


@dataclass(frozen=True, kw_only=True)
class Margins:
    """What is left of a price as a share of it, after two costs [-]; None at a price of 0."""

    full: float | None
    with_equipment: float | None


@dataclass(frozen=True, kw_only=True)
class Job:
    """One order: what it costs and what to ask for it [money for the whole order].

    ``costs`` are its parts but for the share of the price that a payment takes, ``fee_share`` [-];
    ``equipment`` is its share of the equipment's equivalent monthly cost; ``area`` is printed
    without rejects [m²]; ``offered`` is what the customer offers.
    """

    name: str
    is_rush: bool
    lines: tuple[JobLine, ...]
    area: float
    use: JobUse
    costs: Mapping[str, float]
    fee_share: float
    equipment: float
    asked: Asked
    offered: float | None

    @property
    def pieces(self) -> int:
        """Pieces of all lines."""
        return sum(line.pieces for line in self.lines)

    @property
    def shown_at(self) -> float:
        """The price at which costs are shown [money]: that to ask, else that offered, else 0."""
        return self.asked.price or self.offered or 0.0

    @property
    def parts(self) -> Mapping[str, float]:
        """The parts of the full cost at the price shown [money]."""
        fee = self.costs["payment fee"] + self.fee_share * self.shown_at
        return {**self.costs, "payment fee": fee}

    @property
    def material(self) -> float:
        """Garments, ink, film and powder [money]."""
        return sum(self.costs[name] for name in MATERIAL)

    @property
    def full(self) -> float:
        """Full cost at the price shown [money]: every hour is costed, paid or not."""
        return sum(self.parts.values())

    @property
    def with_equipment(self) -> float:
        """Full cost and the share of the equipment, at the price shown [money]."""
        return self.full + self.equipment

    def margins(self, price: float) -> Margins:
        """What a ``price`` [money] leaves after its payment fee and all other costs [-]."""
        full = sum(self.costs.values()) + self.fee_share * price
        left = [
            (price - cost) / price if price > 0 else None for cost in (full, full + self.equipment)
        ]
        return Margins(full=left[0], with_equipment=left[1])


def prints(page: AnswerPage) -> bool:
    """Whether the choice that the page speaks of prints, so that jobs can be costed on it."""
    return page.best.choice.equipment.print_speed is not None


def bench(case: Case, plan: Plan) -> Bench:
    """The machine of a plan, ready to cost orders; raises ``JobError`` when it only presses."""
    if plan.choice.equipment.print_speed is None:
        raise JobError(
            f'"{plan.choice.equipment.name}": a job is costed on a set that prints, and this one '
            "only presses"
        )
    setting = case.setting(plan.machine, case.steady)
    return Bench(
        setting=setting,
        overhead=overhead_an_area(setting),
        equipment=equivalent_monthly_cost(plan) / good_area(setting),
    )


def jobs(page: AnswerPage) -> tuple[Job, ...]:
    """The orders of a scenario, costed on the choice that the page speaks of.

    None where that choice only presses.
    """
    if not prints(page):
        return ()
    own = bench(page.case, page.best.evaluation.plan)
    return tuple(costed(own, order) for order in page.scenario.orders)


def costed(bench: Bench, order: Order, *, artwork: OwnRates | None = None) -> Job:
    """Cost and price of one order.

    The prints of all lines lie together on one strip, which the lines share by area. Set-up,
    packing and the fixed part of the payment fee come once an order, artwork once a new design.
    Rejects, spoiled garments and redone work are in the parts as expected shares, so that a single
    piece carries its part of one spoiled. A test print named as a line's ``design`` gives the
    line's rates, ``artwork`` those of lines that name none; either takes the place of the
    product's coverage, which compares with the average print.

    Raises ``DoesNotFitError`` for a print that is wider than the film.
    """
    values = bench.values
    lines = tuple(_line(bench, line, artwork) for line in order.lines)
    areas = [line.pieces * product_area(product=line.product, values=values) for line in lines]
    area, strip = sum(areas), _strip(bench, lines)
    works = [
        _work(bench, line, film=strip * own / area / line.pieces)
        for line, own in zip(lines, areas, strict=True)
    ]
    parts = _parts(bench, lines, works) | {"upkeep and overheads": bench.overhead * area}
    return Job(
        name=order.name,
        is_rush=order.rush,
        lines=lines,
        area=area,
        use=_use(bench, lines, works, strip),
        costs={name: parts[name] for name in PARTS},
        fee_share=values.scalar(bench.scenario.selling.payment_fee),
        equipment=bench.equipment * area,
        asked=asked(
            order=order,
            cost=sum(parts.values()) + bench.equipment * area,
            selling=bench.scenario.selling,
            values=values,
        ),
        offered=values.scalar(order.price) if order.price is not None else None,
    )


_OF_PRODUCT: Final = ("prints", "garment", "garment_supplied", "coverage", "filled", "pressed")
_PLAIN: Final = Product.model_validate(
    {"name": "piece", "prints": ["1 m x 1 m"], "price": 0, "garment": 0, "planned": "0 piece/week"}
)
_WHOLE: Final = Estimate(likely=1.0, unit="share")


def _line(bench: Bench, line: OrderLine, artwork: OwnRates | None) -> JobLine:
    values = bench.values
    own = artwork if line.design is None else _of_design(bench.scenario.prints, line.design)
    return JobLine(
        ordered=line,
        product=_product(bench.scenario, line, has_own_rates=own is not None),
        pieces=values.whole(line.pieces),
        new_designs=values.whole(line.new_designs),
        own=own,
    )


def _of_design(prints: Sequence[TestPrint], design: str) -> OwnRates:
    """Rates of the test prints of one design, which the reading of the scenario has found."""
    measured = measured_rates([row for row in prints if row.design == design])
    return OwnRates(
        white=measured.white.rate,
        colour=measured.colour.rate,
        powder=measured.powder.rate,
        prints=measured.white.prints,
    )


def _product(scenario: Scenario, line: OrderLine, *, has_own_rates: bool) -> Product:
    """The line as a product that sells in orders of the line's size."""
    named = next((one for one in scenario.products if one.name == line.product), _PLAIN)
    own = {name: getattr(line, name) for name in _OF_PRODUCT if getattr(line, name) is not None}
    average = {"coverage": _WHOLE} if has_own_rates else {}
    return named.model_copy(update={"pieces_per_order": line.pieces, **average, **own})


def _strip(bench: Bench, lines: Sequence[JobLine]) -> float:
    """Length of film on which all prints of an order lie [m]; equal sizes are laid out as one."""
    values, film = bench.values, bench.setting.machine.film
    counts: dict[tuple[float, float], int] = {}
    for line in lines:
        for size in line.product.prints:
            sides = (values.scalar(size.width), values.scalar(size.length))
            counts[sides] = counts.get(sides, 0) + line.pieces
    return strip_length(
        [Piece(width=w, length=h, count=count) for (w, h), count in counts.items()],
        usable_width=values.scalar(film.roll.width) - 2 * values.scalar(film.margin),
        gap=values.scalar(film.gap),
        may_turn=film.may_turn,
    )


@dataclass(frozen=True, kw_only=True)
class _Work:
    """One line at work: its counts, what it takes, and its setting, the line its only product."""

    setting: Setting
    count: Volume
    printed: Number
    hours: Hours
    consumed: Mapping[str, Number]


def _work(bench: Bench, line: JobLine, *, film: float) -> _Work:
    """A line at work when a piece of it takes so much film [m]."""
    machine, values = bench.setting.machine, bench.values
    use = piece_use(product=line.product, film=machine.film, values=values)
    setting = replace(
        bench.setting,
        scenario=bench.scenario.model_copy(update={"products": (line.product,)}),
        machine=replace(
            machine, rates=_rates(bench, line.own), uses=(replace(use, film=film),), bought=(0.0,)
        ),
    )
    count = volume_of(setting, line.product, work_made(pieces=float(line.pieces)))
    printed, hours = area_and_hours(setting, [count], care=0.0)
    consumed = costs.consumption(setting, [count], printed, 0.0)
    return _Work(setting=setting, count=count, printed=printed, hours=hours, consumed=consumed)


def _rates(bench: Bench, own: OwnRates | None) -> Rates:
    rates = bench.setting.machine.rates
    if own is None:
        return rates
    bought = own.powder / (1 - bench.values(bench.scenario.powder.lost))
    return replace(rates, white=own.white, colour=own.colour, powder=bought)


def _parts(bench: Bench, lines: Sequence[JobLine], works: Sequence[_Work]) -> dict[str, float]:
    """Parts of the cost [money], without the fee by share and without overheads."""
    values, scenario = bench.values, bench.scenario
    wage = full_wage(shop=scenario.shop, values=values)
    handled = works[0].count.handled  # one order, and its share of redone ones
    once: dict[str, Number] = {
        "artwork": _designs(lines) * values(scenario.labour.artwork) * wage,
        "set-up": handled * values(scenario.labour.order_setup) * wage,
        "packing": handled * values(scenario.selling.packing),
        "payment fee": values(scenario.selling.payment_fee_each),
    }
    found = {name: value_of(cost) for name, cost in once.items()}
    for line, work in zip(lines, works, strict=True):
        for name, cost in _parts_of_line(line, work, wage).items():
            found[name] = found.get(name, 0.0) + value_of(cost)
    return found


def _designs(lines: Sequence[JobLine]) -> int:
    return sum(line.new_designs for line in lines)


def _parts_of_line(line: JobLine, work: _Work, wage: Number) -> dict[str, Number]:
    """What only the line takes; film without what the ends of the roll take of its price."""
    setting, hours = work.setting, work.hours
    used = costs.material_costs(setting, work.consumed)
    waiting = _waiting(line, work)
    return {
        "garment": costs.garment_cost(setting, [work.count]),
        "ink": used["ink"],
        "film": used["film"] * (1 - setting.machine.rates.in_roll_ends),
        "powder": used["powder"],
        "printing": hours.tending * wage,
        "cutting": hours.cutting * wage,
        "pressing": (hours.pressing - waiting) * wage,
        "waiting for a cold peel": waiting * wage,
        "energy": running_energy(setting, work.printed, hours.pressing),
    }


def _waiting(line: JobLine, work: _Work) -> Number:
    """Hours that the operator stands idle until a print can be peeled."""
    if not line.product.pressed:
        return 0.0
    each = work.setting.values(work.setting.scenario.labour.peel_wait)
    return work.count.pressed * len(line.product.prints) * each


def _use(bench: Bench, lines: Sequence[JobLine], works: Sequence[_Work], strip: float) -> JobUse:
    def total(name: str) -> float:
        return sum(value_of(work.consumed[name]) for work in works)

    values, labour = bench.values, bench.scenario.labour
    by_line = sum(
        value_of(work.hours.tending + work.hours.cutting + work.hours.pressing) for work in works
    )
    once = _designs(lines) * values(labour.artwork) + works[0].count.handled * values(
        labour.order_setup
    )
    return JobUse(
        covered=sum(value_of(w.count.printed * w.setting.machine.uses[0].covered) for w in works),
        strip=strip,
        film=total("film"),
        white=total("white ink"),
        colour=total("colour ink"),
        powder=total("powder"),
        hours=by_line + value_of(once),
    )
