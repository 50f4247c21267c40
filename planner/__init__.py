"""Plan the purchase of a direct-to-film transfer printer: cost, payback, break-even, financing."""

__version__ = "0.1.0"
