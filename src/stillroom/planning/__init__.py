"""From an order back to the plant: back-planning, offer, forecast, learning, the schedule of the day."""
