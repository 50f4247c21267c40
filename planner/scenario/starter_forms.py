"""The starter files: an invented shop with invented prices, every key with where to find it.

A line that begins with ``#`` and a key holds a default; a line that begins with ``# or:`` holds
another way to say the key above it. ``{sheet}`` stands for the name of the sheet of test prints.
"""

from __future__ import annotations

from typing import Final

SHORT: Final = """\
# Foxglove Garment Print is invented, and so is every number here: put your own in their place.
# A physical number carries its unit; a plain number is money in the currency, or a count.
# What is not written has a default that leans against the purchase: planner check lists them.
title    = "Foxglove Garment Print: transfers in-house"
currency = "USD"
start    = "2027-04"               # the month in which you would sign

[shop]
wage          = "17.40 USD/hour"   # payslip: gross pay for an hour of help
on_costs      = "11 %"             # payroll report: employer's contributions as a share of pay
electricity   = "0.17 USD/kWh"     # power bill: whole bill divided by kilowatt hours
cash_at_start = 8200               # bank statement: what this plan may touch
season        = [31, 30, 41, 47, 58, 61, 44, 40, 55, 49, 57, 53]   # invoices: sales, January to December

[today]                            # leave [today] out if the work is not taken today
buy_in_price = "3.35 USD/ft^2"     # supplier's invoices: price of transfers by area
delivery     = "9.80 USD/order"    # supplier's invoices: delivery of one order

[[products]]                       # repeat for each product
name             = "Club shirt, front"
prints           = ["10 in x 11 in"]   # ruler: width x length of the artwork
price            = 14.60           # invoices: a piece, after discounts, without sales tax
garment          = 3.15            # garment supplier's invoice: a piece
today            = "44 piece/week"     # invoices: a usual week
planned          = { low = "48 piece/week", likely = "66 piece/week", high = "85 piece/week" }   # orders in hand, requests turned away
pieces_per_order = 9               # invoices: pieces divided by orders

[test_prints]
file = {sheet}                     # ink counter and scale: see the sheet

[ink]
white_price  = "86 USD/L"          # ink quote
colour_price = "91 USD/L"          # ink quote

[film]
roll       = "24 in x 100 m"       # label of the roll
roll_price = 159.00                # film quote

[powder]
price = "22.50 USD/kg"             # powder quote

[[equipment]]                      # repeat for each set that you could buy
name        = "Printer, shaker and dryer"
price       = 14200                # quote, before sales tax
sales_tax   = "6.5 %"              # quote: sales tax or VAT that you cannot recover
print_speed = "31 ft^2/hour"       # stopwatch on a test print, not the brochure
power       = "5.3 kW"             # type plates of printer and dryer together

[[financing]]                      # cash is always compared as well
kind = "loan"
rate = "9.9 %/year"                # bank's quote
term = "48 months"                 # bank's quote
"""

FULL: Final = """\
# Foxglove Garment Print is invented, and so is every number here: put your own in their place.
# A physical number carries its unit; a plain number is money in the currency, or a count.
# Lines such as #gap hold the default, which leans against the purchase; "# or:" is another way.
# Any number may be { low, likely, high } with shape ("pert", "triangular", "uniform", "normal" or
# "lognormal"), source, date and basis ("measured", "accounts", "quoted" or "estimated").

title        = "Foxglove Garment Print: transfers in-house"
prepared_for = "Foxglove Garment Print"
prepared_by  = "the owner"
currency     = "USD"                  # three letters; every amount is in it
#locale       = "en_US"               # how numbers and dates are written: language and country
#units        = "inch"                # how results are shown: "inch" or "metric"
start        = "2027-04"              # year and month of signing
#runs_from    = "1 month"             # months after signing in which nothing is printed: dealer's lead time
#horizon      = "60 months"           # how far the plan looks
#hurdle_rate  = "15 %/year"           # what your money must earn, effective

[shop]
#open_days            = "5 day/week"
#open_hours           = "8 hour/day"
#open_weeks           = "48 week/year"    # last year's diary
#efficiency           = "60 %"            # of the open hours that a station really works: a week's notes
#staff_hours          = "40 hour/week"    # people's hours that this work may take
wage                 = "17.40 USD/hour"   # payslip: gross pay for an hour of help
on_costs             = "11 %"             # payroll report: employer's contributions as a share of pay
#unpaid_hours         = "0 hour/week"     # the owner's own hours: counted, not paid
#hours_already_paid   = "0 hour/week"     # payroll: hours paid anyway and free for this work
electricity          = "0.17 USD/kWh"     # power bill: whole bill divided by kilowatt hours
season               = [31, 30, 41, 47, 58, 61, 44, 40, 55, 49, 57, 53]   # invoices: sales, January to December, any scale
#closed               = []                # months shut, such as "2028-01"
#customers_pay_after  = "14 day"          # bank statement: from invoice to payment
#suppliers_paid_after = "0 day"           # suppliers' invoices: days allowed
cash_at_start        = 8200               # bank statement: what this plan may touch
cash_flow_before     = "46500 USD/year"   # accounts: net profit + depreciation + interest, before the owner's draw
owner_draw           = "38000 USD/year"   # accounts: with the tax on last year's profit

  [[shop.debts]]                          # repeat for each debt; leave out without
  name       = "Embroidery machine"
  balance    = 5400                       # bank statement: still owed
  payment    = "240 USD/month"            # bank statement
  ends       = "2029-02"                  # loan contract: month of the last payment
  secured_by = "the machine"              # loan contract

[today]                                   # how the work is served now; leave out if it is not taken
buy_in_price       = { low = "3.00 USD/ft^2", likely = "3.35 USD/ft^2", high = "3.80 USD/ft^2", source = "four supplier invoices", date = 2026-11-12, basis = "accounts" }
#buy_in_by          = "picture"           # what the price is for: "picture" area, or "sheet" area
#sheet_width        = "22 in"             # supplier's order form; only for "sheet"
#sheet_gap          = "0.25 in"           # supplier's order form; only for "sheet"
price_breaks       = [{ from = "45 ft^2/order", price = "3.05 USD/ft^2" }]   # supplier's price list: area of an order
delivery           = "9.80 USD/order"     # supplier's invoices
delivery_free_from = 175                  # supplier's price list: order value
orders             = "2 order/week"       # supplier's invoices: orders in a usual week
#hurry_extra        = "30 %"              # supplier's price list: surcharge for the next day

[[products]]                              # repeat for each product
name             = "Club shirt, front"
prints           = ["10 in x 11 in"]      # ruler: width x length of each print, round the artwork
price            = { low = 13.50, likely = 14.60, high = 15.80, basis = "accounts" }   # invoices: a piece, after discounts, without sales tax
garment          = 3.15                   # garment supplier's invoice: a piece; 0 if the customer brings it
today            = "44 piece/week"        # invoices: a usual week, served with bought-in transfers
planned          = { low = "48 piece/week", likely = "66 piece/week", high = "85 piece/week", source = "orders in hand and requests turned away" }
needs_machine    = { low = "5 %", likely = "15 %", high = "35 %", source = "rush requests turned away" }   # of the added work, what no bought-in transfer could serve
# or: buy_in     = 2.60                   # supplier's invoice: bought-in transfers a piece, instead of today.buy_in_price
pieces_per_order = 9                      # invoices: pieces divided by orders
#coverage         = "100 %"               # ink and powder against the average test print
#filled           = "100 %"               # share of a sheet that holds pictures, for sheets sold by length
#pressed          = true                  # false for transfers sold loose

[ramp]
#start_share       = "0 %"                # share of the added work that is there at the start
#months            = "9 months"           # until all of it is there
#spoilage_at_start = "15 %"               # transfers rejected while you learn

[growth]                                  # price lists of the last years
#volume = "0 %/year"
#prices = "0 %/year"                      # your selling prices
#costs  = "0 %/year"                      # materials, energy, repairs
#wages  = "0 %/year"
#buy_in = "0 %/year"                      # bought-in transfers

[test_prints]
file = {sheet}                            # ink counter and scale: see the sheet

[ink]
white_price     = "86 USD/L"              # ink quote
colour_price    = "91 USD/L"              # ink quote
# or: price     = "88 USD/L"              # one price for white and colour
#colours         = 4                      # bottles that share the colour ink
#pack            = "1 L"                  # label of the bottle
#keeps           = "6 months"             # label: how long an opened bottle keeps
#first_fill      = "1.5 L"                # dealer's quote: ink to fill the lines
#daily_loss      = "12 mL/day"            # ink counter: nozzle checks and cleaning, counted for a week
#closed_day_loss = "4 mL/day"             # ink counter: over a weekend
#long_stop       = { after = "5 day", ink = "80 mL", time = "60 min" }   # ink counter and stopwatch: flush after a pause

[film]
roll       = "24 in x 100 m"              # label of the roll: width x length
roll_price = 159.00                       # film quote
#margin     = "0.5 in"                    # ruler: unprinted at each edge
#gap        = "0.3 in"                    # ruler: between prints
#run_ends   = "48 in/run"                 # ruler: blank film until a print is out of the dryer
#runs       = "1 run/day"                 # how often you start printing
#roll_ends  = "3 m/roll"                  # ruler: lost at both ends of a roll
#may_turn   = false                       # true if prints may be turned to save film

[powder]
price = "22.50 USD/kg"                    # powder quote
#lost  = "15 %"                           # scale: powder bought that reaches no print

[spoilage]                                # count a month's rejects
#transfers = "5 %"                        # transfers rejected before pressing
#garments  = "1 %"                        # garments spoiled at the press
#redone    = "1 %"                        # work redone after delivery

[labour]                                  # stopwatch
#artwork     = "15 min/design"            # making a new design ready
#new_designs = "100 %"                    # orders with a new design
#order_setup = "10 min/order"             # taking the order in, laying it out
#tending     = "1 min/ft^2"               # at the printer while it prints
#cutting     = "0.5 min/print"
#pressing    = "1.25 min/print"           # first garment on to last garment off, divided by prints
#peel_wait   = "0 min/print"              # idle until a cold peel
#daily       = "30 min/day"               # care of the printer
#weekly      = "45 min/week"              # care of the printer

[selling]
#payment_fee      = "3 %"                 # card processor's statement
#payment_fee_each = "0 USD/order"         # card processor's statement: fixed part
#packing          = "0 USD/order"         # invoices: bags, boxes, postage that you pay
#minimum_order    = 0                     # your price list
rush             = { share = "6 %", extra = "20 %" }   # your price list: orders in a hurry, their surcharge

[[overheads]]                             # repeat for each fixed cost; leave out without
name         = "Floor space for the printer"
cost         = "135 USD/month"            # rent invoice, by floor area
#already_paid = false                     # true if it runs without the machine too

[stock]
#opening = 0                              # film, ink and powder on the shelf from the first day

[[equipment]]                             # repeat for each set that you could buy
name          = "Printer, shaker and dryer"
print_speed   = "31 ft^2/hour"            # stopwatch on a test print, not the brochure
dryer_speed   = "36 ft^2/hour"            # stopwatch; without it the printer's speed
printer_power = "0.8 kW"                  # type plate
dryer_power   = "4.5 kW"                  # type plate
# or: power   = "5.3 kW"                  # type plates together, instead of the two above
#dryer_warm_up = "30 min/day"             # stopwatch
#dryer_on      = "3 hour/day"             # how long it is kept on
idle_power    = "0.05 kW"                 # power meter at night: ink circulation
#press_power   = "1.8 kW"                 # type plate of the heat press
#press_duty    = "50 %"                   # share of the time that it heats
#presses       = 1
#age           = "0 months"               # for second-hand equipment
supplies      = "48 USD/month"            # dealer's quote: cleaner, swabs, filters
#insurance     = "2 %/year"               # insurer's quote, with property tax, by price
#discount      = "0 %"                    # quote: off the prices below
sales_tax     = "6.5 %"                   # quote: sales tax or VAT that you cannot recover
in_place      = ["humidity control"]      # what is there already: extraction, circuit, humidity control

  [equipment.film]                        # where this set takes other film than [film]
  #roll       = "24 in x 100 m"
  #roll_price = 159.00
  #margin     = "0.5 in"
  #gap        = "0.3 in"
  #run_ends   = "48 in/run"
  #runs       = "1 run/day"
  #roll_ends  = "3 m/roll"
  #may_turn   = false

  [[equipment.items]]
  name     = "Printer"
  price    = 9900                         # quote, before sales tax
  #quantity = 1
  #life     = "5 years"
  worth    = { after = "36 months", share = "25 %" }   # offers for used equipment: share of the price left
  basis    = "quoted"                     # of every number in this table
  source   = "dealer's quote"
  date     = 2026-11-20                   # of the quote

  [[equipment.items]]
  name  = "Shaker and dryer"
  price = 4300                            # quote, before sales tax
  basis = "quoted"
  # or: price = 14200                     # in [[equipment]], for the whole set, instead of items

  [[equipment.start_up]]
  name  = "Delivery and installation"
  cost  = 690                             # quote
  basis = "quoted"
  source = "dealer's quote"
  date  = 2026-11-20

  [[equipment.start_up]]
  name = "Dryer circuit and extraction, by licensed trades"
  cost = { low = 650, likely = 1050, high = 1900 }   # electrician's quote

  [[equipment.start_up]]
  name     = "Training"
  hours    = "18 hour"                    # dealer's plan: people's hours
  practice = "45 ft^2"                    # prints made to learn

  [[equipment.wear_parts]]
  name         = "Print head"
  #count        = 1
  price        = 640                      # dealer's price list
  life         = "13000 ft^2"             # dealer: area until it is worn
  life_at_most = "28 months"              # dealer: time until it is worn
  #covered      = false                   # true if the warranty pays for it
  basis        = "quoted"
  source       = "dealer's price list"
  date         = 2026-11-20

  [equipment.repairs]                     # other owners, service records
  in_first_year       = 0.7               # failures expected in the first year
  #wear                = 1                # exponent of age; 1 stays the same, above 1 wears out
  cost                = { low = 160, likely = 390, high = 1250 }   # service invoices: one repair
  #down_days_covered   = "3 day"          # for each failure under warranty
  #down_days_uncovered = "6 day"          # for each failure after it
  basis               = "estimated"
  source              = "two owners asked"
  date                = 2026-11-05

  [[equipment.warranty]]                  # one for each term that is offered
  name       = "Included, 12 months"
  #term       = "12 months"               # dealer's quote
  #price      = 0                         # dealer's quote
  #deductible = 0                         # what you pay of a covered repair
  basis      = "quoted"
  source     = "dealer's quote"
  date       = 2026-11-20

[[financing]]
name = "Own money"
kind = "cash"

[[financing]]
name         = "Bank loan, 48 months"
kind         = "loan"
equipment    = "Printer, shaker and dryer"   # only for an offer that stands for one set
covers       = ["equipment", "start-up"]  # also "warranty", "first fill", "stock"
rate         = "9.9 %/year"               # bank's quote, nominal; "9.9 %/year effective" otherwise
# or: payment = "330 USD/month"           # bank's quote, instead of rate
term         = "48 months"                # bank's quote
#down_payment = "20 %"                    # bank's quote: your share of what it covers
fee          = 240                        # bank's quote

[[financing]]
name             = "Lease, 48 months"
kind             = "lease"
#covers           = ["equipment"]
payment          = "338 USD/month"        # lessor's quote, before sales tax
term             = "48 months"            # lessor's quote
#due              = "end"                 # of the month, or "start"
advance_payments = 1                      # lessor's quote: payments at signing, part of the term
deposit          = 338                    # lessor's quote: comes back
document_fee     = 195                    # lessor's quote
sales_tax        = "6.5 %"                # on each payment
at_end           = { buy = "10 %" }       # of the price; or { buy = 1 }, "return", "market"

[tax]                                     # leave out for figures before tax
rate         = "22 %"                     # accountant: on the last unit of profit
#year_ends    = "December"
#depreciation = "straight line"           # ask your accountant
#losses       = "carried forward"         # or "other income", which they are set against

[lender]
#debt_service_cover_at_least = 1.25       # bank: cash flow divided by debt payments
#measures   = "after tax and draw"        # or "before tax"
#counts     = "50 %"                      # bank: share of the resale value that it counts
guarantors = ["the owner"]
attached   = ["dealer's quote", "two years' accounts"]
missing    = ["insurance certificate"]

[conditions]                              # your own tests
pays_back_within  = "36 months"           # before financing, against buying in
chance_of_payback = { within = "36 months", at_least = "75 %" }
cash_never_below  = 3500                  # bank balance that must remain
"""

SHEET: Final = """\
design,width [in],height [in],copies,white [mL],colour [mL],before powder [g],after powder [g],film fed [in]
Bird on a branch,10,11,2,4.90,1.95,19.40,20.98,11.4
Three-line slogan,10,6,3,3.62,0.58,16.05,17.26,12.7
Round badge,4,4,5,1.98,0.81,8.10,8.66,4.4
Sunset photo,11,13,1,3.05,1.72,13.35,14.38,13.3
Club lettering,10,4,4,2.61,0.77,14.30,15.36,8.7
Leaf pattern,11,13,1,3.38,1.88,13.60,14.71,13.4
"""
