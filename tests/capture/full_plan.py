"""A plan file that uses every key there is, for tests; everything in it is invented."""

FULL = """format = 1

[job]
number = "T-9"
engine = "Bench rig, three cylinders"
customer = "Ada Quill"
shop = "Back Lane Bench"
engine_number = "BR-77"
units = "metric"
decimal_comma = true
instructions = ["Keep the crankshaft.", "Say when it is \\"odd\\"."]
declined = ["New pump"]
left_out = ["Hardness"]
cautions = ["Lift with a hoist."]

[each]
main = ["1", "2"]

[[gauge]]
id = "mic-1"
kind = "outside micrometer 25-50 mm"
resolution = "0.001 mm"
permissible_error = "0.004 mm"
repeatability = "0.0015 mm"
repeats = 6
last_check = "2026-01-31"
due = "2027-01-31"
set_on = "setting rod 25 mm"
expansion_per_kelvin = 1.2e-5
marked = "No. 4"

[[gauge]]
id = "bore-1"
kind = "bore gauge"
resolution = "1/2 thou"
permissible_error = "0.006 mm"
difference = true

[[gauge]]
id = "wrench-1"
kind = "torque wrench"
resolution = "1 N.m"
permissible_error = "2 N.m"

[[kit]]
id = "shells"
name = "Main shells"
count = 2
size = "48.2 mm"

[[part]]
for_each = "main"
id = "shell-{main}"
name = "Shell {main}"
location = "M{main}"
kit = "shells"

[[location]]
id = "C1"
name = "Cam bearing 1"
near = "bush hole"
far = "oilway"
group = "cam oil holes"

  [[location.check]]
  id = "covered"
  kind = "coverage"
  question = "How much of the oil hole is covered?"
  near_diameter = "7.05 mm +- 0.05 mm"
  far_diameter = "0.2815 in"
  wall = "1.9 mm"
  bore_diameter = "52 mm +- 0.1 mm"
  shape = "slot"
  limit = { at_least = "9.5 mm^2", of = "open area", source = "builder's own", rule = "simple" }

  [[location.check]]
  id = "flat"
  kind = "coverage"
  question = "And on the flat?"
  flat = true
  limit = { at_most = "35 %", of = "covered of near", source = "builder's own" }

  [[location.check]]
  id = "pin"
  kind = "pin"
  question = "Largest pin that passes?"
  unit = "mm"
  limit = { ask = "maker's figure and page: pin that must pass" }

  [[location.check]]
  id = "routes"
  kind = "agreement"
  question = "Do photo and pin agree?"
  of = ["C1.covered.pin", "C1.pin"]

[[location]]
id = "G1"
name = "Main gallery"
gallery = true

[[location]]
id = "G2"
name = "Gallery plug, rear"
plug = true

  [[location.check]]
  id = "depth"
  kind = "depth"
  question = "How deep does the lip sit?"
  datum = "rear face"
  unit_us = "in"
  positions = ["up", "right", "down", "left"]
  take = "range"
  limit = { at_least = "0,2 mm PROUD", at_most = "1.35 mm", source = "builder's own" }

  [[location.check]]
  id = "sealant"
  kind = "note"
  question = "Which sealant, which batch?"

[[location]]
for_each = "main"
id = "M{main}"
name = "Main bearing {main}"

  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Housing bore {main}?"
  gauge = "bore-1"
  instrument = "bore gauge"
  resolution = "0.002 mm"
  resolution_us = "0.0001 in"
  positions = ["front", "rear"]
  axes = ["0deg", "60deg", "120deg"]
  repeats = 2
  take = "mean"
  part = "shell-{main}"
  found = true
  material = "grey iron"
  doubts = [ { what = "burr", half_width = "0.003 mm" } ]
  limit = { printed = "48.210-48.226 mm (1.8980-1.8987 in)", source = "builder's own" }
  wear_limit = { printed = "max 48.25 mm (1.9886 in)", at_most = "48.25 mm", \
source = "builder's own", settled = "48.25 mm: the drawing has it too" }
  judged_by = "wear"
  caution = "Keep the caps in order."

  [[location.check]]
  id = "journal"
  kind = "length"
  question = "Journal {main}?"
  asks = "maker's figure and page: journal {main}"

  [[location.check]]
  id = "clearance"
  kind = "computed"
  question = "Oil clearance?"
  formula = "M{main}.bore - M{main}.journal"
  bands = [
    { name = "standard shell", at_least = "0.03 mm", at_most = "0.06 mm" },
    { name = "next shell", at_least = "0.06 mm" },
  ]

[[hold_point]]
id = "crank"
name = "Crankshaft goes in"
hides = ["M{main}", "G1"]
debris = true

[[hold_point]]
id = "sump"
name = "Sump goes on"
hides = ["crank", "C1", "G2"]
roles = ["close-up", "overall"]
seal = true
caution = "Nothing above it can be seen again."
"""
