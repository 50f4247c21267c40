"""What prints use: test prints, ink, film, powder, and what is spoiled."""

from __future__ import annotations

from typing import Annotated

from pydantic import StrictBool

from planner.scenario.estimates import Estimate
from planner.scenario.kinds import (
    AreaOfLife,
    Count,
    Length,
    LengthARoll,
    LengthARun,
    Life,
    LossShare,
    Money,
    MoneyAKilogram,
    MoneyALitre,
    Pack,
    Pause,
    RunsADay,
    Text,
    Volume,
    VolumeADay,
    default,
)
from planner.scenario.reading import Reads
from planner.scenario.schema.table import Rectangle, Table


class TestPrintFile(Table):
    """The sheet of measured test prints, beside the scenario file."""

    __test__ = False
    file: Text


class TestPrint(Table):
    """One row of the sheet of test prints; figures are for all copies together.

    ``area`` is that of all copies [m²]; ``size`` that of one, where the sheet gives it;
    ``wanted`` the size at which a customer wants the design; ``artwork`` its picture file.
    """

    __test__ = False
    design: Text
    area: AreaOfLife
    size: Rectangle | None = None
    copies: Count
    white: Volume
    colour: Volume
    before_powder: Annotated[Estimate, Reads(unit="kilogram")]
    after_powder: Annotated[Estimate, Reads(unit="kilogram")]
    film_fed: Length | None = None
    wanted: Rectangle | None = None
    artwork: Text | None = None


class LongStop(Table):
    """What a pause of the printer costs: ink flushed and time."""

    after: Pause = default("5 day")
    ink: Volume = default("80 mL")
    time: Annotated[Estimate, Reads(unit="hour", at_most=100)] = default("60 min")


class Ink(Table):
    """Ink: its price and what is used apart from prints."""

    price: MoneyALitre | None = None
    white_price: MoneyALitre | None = None
    colour_price: MoneyALitre | None = None
    colours: Count = default(4)
    pack: Pack = default("1 L")
    keeps: Life = default("6 months")
    first_fill: Volume = default("1.5 L")
    daily_loss: VolumeADay = default("12 mL/day")
    closed_day_loss: VolumeADay = default("4 mL/day")
    long_stop: LongStop = LongStop()


class Film(Table):
    """The film on the roll and what of it is lost."""

    roll: Rectangle
    roll_price: Money
    margin: Length = default("0.5 in")
    gap: Length = default("0.3 in")
    run_ends: LengthARun = default("48 in/run")
    runs: RunsADay = default("1 run/day")
    roll_ends: LengthARoll = default("3 m/roll")
    may_turn: StrictBool = False


class FilmOfEquipment(Table):
    """What differs from ``[film]`` for one set of equipment."""

    roll: Rectangle | None = None
    roll_price: Money | None = None
    margin: Length | None = None
    gap: Length | None = None
    run_ends: LengthARun | None = None
    runs: RunsADay | None = None
    roll_ends: LengthARoll | None = None
    may_turn: StrictBool | None = None


class Powder(Table):
    """Adhesive powder."""

    price: MoneyAKilogram
    lost: LossShare = default("15 %")


class Spoilage(Table):
    """Shares of transfers rejected, garments spoiled at the press, work redone after delivery."""

    transfers: LossShare = default("5 %")
    garments: LossShare = default("1 %")
    redone: LossShare = default("1 %")
