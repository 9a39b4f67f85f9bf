"""A small plan file for tests; everything in it is invented."""

PLAN = """format = 1

[job]
number = "T-7"
engine = "Bench rig, two cylinders"
customer = "Ada Quill"
shop = "Back Lane Bench"

[[gauge]]
id = "mic-1"
kind = "micrometer 25-50"
resolution = "0.001 mm"
permissible_error = "0.004 mm"

[[location]]
id = "C1"
name = "Cam bearing 1"
  [[location.check]]
  id = "covered"
  kind = "coverage"
  question = "How much of the oil hole is covered?"
  near_diameter = "7.05 mm +- 0.05 mm"
  limit = { at_most = "40 %", of = "covered", source = "builder's own" }

[[location]]
id = "P1"
name = "Core plug 1"
  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Bore?"
  gauge = "mic-1"
  [[location.check]]
  id = "plug"
  kind = "length"
  question = "Plug?"
  gauge = "mic-1"
  [[location.check]]
  id = "press"
  kind = "computed"
  question = "Press fit?"
  formula = "P1.plug - P1.bore"
  limit = { at_least = "0.03 mm", at_most = "0.12 mm", source = "builder's own" }
  [[location.check]]
  id = "depth"
  kind = "depth"
  question = "Depth?"
  datum = "face"
  limit = { at_least = "2 mm", at_most = "4 mm", source = "builder's own" }
  [[location.check]]
  id = "clean"
  kind = "yes-no"
  question = "Is the bore clean?"

[[hold_point]]
id = "cover"
name = "Side cover"
hides = ["P1"]
caution = "Lift it with two hands."
"""
