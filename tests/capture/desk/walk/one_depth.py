"""A plan of one depth and nothing else; invented."""

ONE_DEPTH = """format = 1
[job]
number = "1"
engine = "e"
customer = "c"
shop = "s"
[[location]]
id = "D1"
name = "Deck"
  [[location.check]]
  id = "depth"
  kind = "depth"
  question = "How deep?"
  datum = "face"
  limit = { at_most = "2 mm", source = "builder's own" }
"""
