"""What layout makes of the film: every product on every roll, and on the supplier's sheet."""

from __future__ import annotations

from dataclasses import dataclass

from planner.case import Case
from planner.plan import value_of
from planner.scenario.estimates import Values
from planner.scenario.schema import Equipment, Film, Product
from planner.shop import costs
from planner.shop.machine import Machine, Setting, machine
from planner.shop.month import pieces_asked
from planner.shop.volume import area_and_hours, volume_of
from planner.shop.work import work_made
from planner.usage.layout import Laid, Piece, across, placed
from planner.usage.materials import bought_area, film_of, product_area


@dataclass(frozen=True, kw_only=True)
class OnRoll:
    """An average order of one product, laid out on a roll.

    ``pieces`` are its prints, ``laid`` where they lie, ``across`` how many of each stand side by
    side in a row of their own [-]. Of one piece: ``film`` fed [m]; ``film_use`` picture ÷ film [-];
    ``cost`` of film with rejects and redone work, the ends of runs and rolls left to the overheads
    [money]; ``area_only`` of the film under the picture alone [money].
    """

    product: str
    pieces: tuple[Piece, ...]
    laid: Laid
    across: tuple[int, ...]
    film: float
    film_use: float
    cost: float
    area_only: float


@dataclass(frozen=True, kw_only=True)
class WeekOfFilm:
    """All planned work of a steady week made on one set of equipment.

    ``fed`` is the film it takes [m/week], ``cost`` what that costs, of which ``ends`` the blank
    ends of each machine's runs and of the rolls [money/week].
    """

    equipment: str
    fed: float
    cost: float
    ends: float


@dataclass(frozen=True, kw_only=True)
class Roll:
    """A film [m], all products on it, and a week on every set of equipment that takes it."""

    width: float
    margin: float
    run_end: float
    products: tuple[OnRoll, ...]
    weeks: tuple[WeekOfFilm, ...]

    @property
    def equipment(self) -> tuple[str, ...]:
        """Names of the sets that take it."""
        return tuple(week.equipment for week in self.weeks)


def rolls(case: Case) -> tuple[Roll, ...]:
    """Every film that a set with a printer takes, in the order of the sets; equal films once."""
    owners: dict[tuple[float, ...], list[Equipment]] = {}
    for equipment in case.scenario.equipment:
        if equipment.print_speed is not None:
            film = film_of(case.scenario.film, equipment)
            owners.setdefault(_numbers(film, case.values), []).append(equipment)
    return tuple(_roll(case, sets) for sets in owners.values())


def _numbers(film: Film, values: Values) -> tuple[float, ...]:
    """All that tells one film from another."""
    roll = (film.roll.width, film.roll.length, film.roll_price, film.margin, film.gap)
    ends = (film.run_ends, film.runs, film.roll_ends)
    return (*(values.scalar(one) for one in (*roll, *ends)), float(film.may_turn))


def _roll(case: Case, sets: list[Equipment]) -> Roll:
    values = case.values
    settings = [
        case.setting(
            machine(scenario=case.scenario, equipment=one, warranty=one.warranty[0], values=values),
            case.steady,
        )
        for one in sets
    ]
    first, film = settings[0], settings[0].machine.film
    return Roll(
        width=values.scalar(film.roll.width),
        margin=values.scalar(film.margin),
        run_end=values.scalar(film.run_ends),
        products=tuple(_on_roll(first, at) for at in range(len(first.products))),
        weeks=tuple(_week(setting) for setting in settings),
    )


def _week(setting: Setting) -> WeekOfFilm:
    volumes = [
        volume_of(setting, product, work_made(pieces=pieces))
        for product, pieces in zip(setting.products, pieces_asked(setting), strict=True)
    ]
    printed, _ = area_and_hours(setting, volumes, care=0.0)
    used = costs.consumption(setting, volumes, printed, setting.calendar.open_days)
    paid = costs.material_costs(setting, used)
    in_roll_ends, weeks = setting.machine.rates.in_roll_ends, setting.calendar.usual_weeks
    return WeekOfFilm(
        equipment=setting.equipment.name,
        fed=value_of((used["film"] + used["film ends"]) / (1 - in_roll_ends) / weeks),
        cost=value_of((paid["film"] + paid["film ends"]) / weeks),
        ends=value_of((paid["film ends"] + paid["film"] * in_roll_ends) / weeks),
    )


def _on_roll(setting: Setting, at: int) -> OnRoll:
    product, use, made = setting.products[at], setting.machine.uses[at], setting.machine
    width = setting.values.scalar(made.film.roll.width)
    usable = width - 2 * setting.values.scalar(made.film.margin)
    gap = setting.values.scalar(made.film.gap)
    pieces = order_pieces(product, setting.values)
    laid = placed(pieces, usable_width=usable, gap=gap, may_turn=made.film.may_turn)
    lying = {place.piece: place.width for place in laid.places}
    printed = volume_of(setting, product, work_made(pieces=1.0)).printed
    return OnRoll(
        product=product.name,
        pieces=pieces,
        laid=laid,
        across=tuple(
            across(width=lying[number], usable_width=usable, gap=gap)
            for number in range(len(pieces))
        ),
        film=use.film,
        film_use=use.area / (use.film * width),
        cost=value_of(printed * use.film * _price_without_ends(made)),
        area_only=value_of(use.area * made.rates.film_area_price),
    )


def _price_without_ends(made: Machine) -> float:
    """Film by its length on the roll; what the roll's ends add is an overhead [money/m]."""
    return value_of(made.rates.film_price * (1 - made.rates.in_roll_ends))


def order_pieces(product: Product, values: Values) -> tuple[Piece, ...]:
    """The prints of an average order of a product [m]."""
    return tuple(
        Piece(
            width=values.scalar(size.width),
            length=values.scalar(size.length),
            count=values.whole(product.pieces_per_order),
        )
        for size in product.prints
    )


def sheet_use(case: Case, product: Product) -> float | None:
    """Picture ÷ the supplier's sheet [-]; None where transfers are not bought by the sheet."""
    today = case.scenario.today
    if today is None or today.buy_in_by != "sheet" or today.buy_in_price is None or product.buy_in:
        return None
    picture = product_area(product=product, values=case.values)
    return picture / bought_area(product=product, today=today, values=case.values)


def by_planned_area(case: Case) -> list[int]:
    """Places of the products in the scenario, the one with most planned area first."""
    values, products = case.values, case.scenario.products
    areas = [
        values.scalar(product.planned) * product_area(product=product, values=values)
        for product in products
    ]
    return sorted(range(len(products)), key=lambda at: -areas[at])


def film_figures(case: Case) -> list[dict[str, object]]:
    """Every roll as plain data: lengths [m], a week's film [m/week] and money, shares [-]."""
    sheets = [sheet_use(case, product) for product in case.scenario.products]
    return [
        {
            "roll_width": roll.width,
            "weeks": [
                {
                    "equipment": week.equipment,
                    "film_per_week": week.fed,
                    "cost_per_week": week.cost,
                    "ends_per_week": week.ends,
                }
                for week in roll.weeks
            ],
            "products": [
                {
                    "product": one.product,
                    "across": list(one.across),
                    "film_per_piece": one.film,
                    "film_use": one.film_use,
                    "film_cost": one.cost,
                    "film_cost_by_area_only": one.area_only,
                    "sheet_use": sheet,
                }
                for one, sheet in zip(roll.products, sheets, strict=True)
            ],
        }
        for roll in rolls(case)
    ]
