"""The data table: every bench with its cases."""

from tests.journey.rows.arrival import ARRIVAL
from tests.journey.rows.bores import BORES
from tests.journey.rows.cams import CAMS
from tests.journey.rows.deck import DECK
from tests.journey.rows.mains import MAINS
from tests.journey.rows.plugs import PLUGS

BENCHES = (ARRIVAL, PLUGS, CAMS, MAINS, BORES, DECK)
