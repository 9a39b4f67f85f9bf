"""The data table: every bench with its cases."""

from tests.journey.rows.arrival import ARRIVAL
from tests.journey.rows.mains import MAINS

BENCHES = (ARRIVAL, MAINS)
