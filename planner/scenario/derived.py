"""Defaults that follow from another input; each leans against the purchase.

They stand here so that what is said about them and what is computed cannot differ. None is an
amount of money: costs without data are a share of the equipment's price.
"""

from __future__ import annotations

from typing import Final

START_UP_SHARE: Final = 0.15  # of the price, where no start-up is listed
TRAINING_HOURS: Final = 24.0  # hour
PRACTICE_AREA: Final = 60 * 0.3048**2  # square metre
IDLE_SHARE: Final = 0.03  # of printer and dryer power
SUPPLIES_SHARE_A_YEAR: Final = 0.04  # of the price
WEAR_SHARE: Final = 0.08  # of the price, where no wear parts are listed
WEAR_MONTHS: Final = 24.0  # month
REPAIRS_SHARE_A_YEAR: Final = 0.06  # of the price, after the warranty
DOWN_DAYS_COVERED: Final = 3.0  # day/year
DOWN_DAYS_UNCOVERED: Final = 6.0  # day/year
PRICE_LIST_QUANTITIES: Final = (1, 6, 12, 24, 48, 96)  # piece/order
LOAN_DOWN_PAYMENT: Final = 0.20  # of what a loan covers
