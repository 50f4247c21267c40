"""Ink and powder of an order from its picture instead of the pooled rates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from planner.decide.job import Bench, Job, JobError, OwnRates, costed
from planner.scenario.estimates import Values
from planner.scenario.schema import Order, Rectangle
from planner.usage.artwork import Coverage
from planner.usage.ink_fit import InkFit, PictureUse, litres_for


@dataclass(frozen=True)
class Picture:
    """A picture to be printed: the file's name, what it covers, and the fit to test prints."""

    name: str
    coverage: Coverage
    fit: InkFit

    @cached_property
    def use(self) -> PictureUse:
        """Ink [L/m²] and powder [kg/m²] by printed area, each with its error."""
        return litres_for(self.fit, self.coverage, area=1.0)

    @property
    def rates(self) -> OwnRates:
        """The rates that hold for its prints; raises ``JobError`` for one that takes no ink."""
        white, colour = self.use.white.likely, self.use.colour.likely
        if white + colour <= 0:
            raise JobError(
                f"{self.name}: a picture to be costed must take ink, and this takes none"
            )
        return OwnRates(
            white=white, colour=colour, powder=self.use.powder.likely, prints=self.fit.pictures
        )


@dataclass(frozen=True)
class Pictured:
    """An order costed from its picture, and the same order by the pooled rates.

    ``misshapen`` are the sizes on which the picture would have to be stretched.
    """

    job: Job
    pooled: Job
    picture: Picture
    misshapen: tuple[Rectangle, ...]


def pictured(bench: Bench, order: Order, picture: Picture) -> Pictured:
    """Cost an order whose every print shows the picture."""
    job = costed(bench, order, artwork=picture.rates)
    return Pictured(
        job=job,
        pooled=costed(bench, order),
        picture=picture,
        misshapen=tuple(_misshapen(job, picture.coverage, bench.values)),
    )


def _misshapen(job: Job, coverage: Coverage, values: Values) -> Iterator[Rectangle]:
    for line in job.lines:
        for size in line.product.prints:
            width, height = values.scalar(size.width), values.scalar(size.length)
            if not coverage.fits(width=width, height=height):
                yield size
