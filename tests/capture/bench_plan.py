"""A plan file with a bit of everything that is done at the block; all of it is invented."""

BENCH_PLAN = """format = 1

[job]
number = "T-8"
engine = "Bench rig, one cylinder"
customer = "Ada Quill"
shop = "Back Lane Bench"
instructions = ["Keep the old crankshaft."]
declined = ["New oil pump"]

[[gauge]]
id = "mic-1"
kind = "outside micrometer 50-75 mm"
resolution = "0.001 mm"
permissible_error = "0.003 mm"
last_check = "2020-03-02"
due = "2021-03-02"

[[gauge]]
id = "bore-1"
kind = "bore gauge 50-100 mm"
resolution = "0.001 mm"
permissible_error = "0.002 mm"
difference = true
set_on = "mic-1"

[[gauge]]
id = "depth-1"
kind = "depth micrometer"
resolution = "0.01 mm"
permissible_error = "0.005 mm"

[[kit]]
id = "gallery-plugs"
name = "Gallery plugs"
count = 3

[[part]]
id = "plug-G2"
name = "Gallery plug, rear"
location = "G2"
kit = "gallery-plugs"

[[part]]
id = "shell-1"
name = "Main shell"
location = "M1"

[[location]]
id = "G1"
name = "Main gallery"
gallery = true

[[location]]
id = "G2"
name = "Gallery plug, rear"
plug = true
group = "gallery plugs"
  [[location.check]]
  id = "depth"
  kind = "depth"
  question = "How deep does the lip sit, at four points?"
  datum = "rear face"
  gauge = "depth-1"
  positions = ["up", "right", "down", "left"]
  take = "range"
  limit = { at_most = "0.20 mm", source = "builder's own" }

[[location]]
id = "G3"
name = "Gallery plug, front"
plug = true
group = "gallery plugs"

[[location]]
id = "M1"
name = "Main bearing"
  [[location.check]]
  id = "journal"
  kind = "length"
  question = "Journal?"
  gauge = "mic-1"
  axes = ["along", "across"]
  repeats = 2
  material = "steel"
  limit = { at_least = "58.30 mm", at_most = "58.40 mm", source = "builder's own" }
  [[location.check]]
  id = "bore"
  kind = "length"
  question = "Bearing bore?"
  gauge = "bore-1"
  part = "shell-1"
  [[location.check]]
  id = "clearance"
  kind = "computed"
  question = "Oil clearance?"
  formula = "M1.bore - M1.journal"
  limit = { at_least = "0.02 mm", at_most = "0.06 mm", source = "builder's own" }
  [[location.check]]
  id = "strip"
  kind = "length"
  question = "Clearance by the strip gauge?"
  caution = "Keep it out of the oil hole."
  [[location.check]]
  id = "ways"
  kind = "agreement"
  question = "Do gauge and strip agree?"
  of = ["M1.clearance", "M1.strip"]

[[location]]
id = "S1"
name = "Rear seal"
  [[location.check]]
  id = "sealant"
  kind = "note"
  question = "Which sealant, which batch?"
  [[location.check]]
  id = "seated"
  kind = "yes-no"
  question = "Is the seal seated all round?"

[[hold_point]]
id = "crank"
name = "Crankshaft goes in"
hides = ["G1", "G2", "G3", "M1"]
debris = true

[[hold_point]]
id = "sump"
name = "Sump goes on"
hides = ["crank", "S1"]
roles = ["fitted"]
seal = true
caution = "Nothing above it can be seen again."
"""
