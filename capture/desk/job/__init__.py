"""The job: its details, plan, gauges, kit, plugs, papers, and how the window is set."""
