"""One month in the shop: demand, capacity, labour, energy, upkeep, repairs."""
