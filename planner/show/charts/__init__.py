"""The pictures: one function a chart, from plain data to a figure and its text alternative.

No chart computes a figure: what is marked or printed was passed in, or is a point of the data
itself. The finding is the heading above a picture, set in text, so no picture has a title. Labels
stand beside what they name; there is no legend and no second axis; bars start at zero.
"""

from planner.show.charts.by_input import Ends, explained_shares, one_at_a_time
from planner.show.charts.by_part import CostBar, print_cost
from planner.show.charts.by_volume import Band, Mark, break_even, make_or_buy
from planner.show.charts.chances import chance_by_month, payback_range
from planner.show.charts.film_layout import sheet_layout
from planner.show.charts.lines import Line, PaybackLine
from planner.show.charts.measured_prints import RatePanel, print_rates
from planner.show.charts.over_time import (
    cash_flow,
    cumulative_cash,
    financing_outlay,
    station_use,
    warranty_years,
)
from planner.show.charts.picture import Picture
from planner.show.charts.two_inputs import payback_grid

__all__ = [
    "Band",
    "CostBar",
    "Ends",
    "Line",
    "Mark",
    "PaybackLine",
    "Picture",
    "RatePanel",
    "break_even",
    "cash_flow",
    "chance_by_month",
    "cumulative_cash",
    "explained_shares",
    "financing_outlay",
    "make_or_buy",
    "one_at_a_time",
    "payback_grid",
    "payback_range",
    "print_cost",
    "print_rates",
    "sheet_layout",
    "station_use",
    "warranty_years",
]
