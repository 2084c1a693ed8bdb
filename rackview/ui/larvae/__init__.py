"""The larvae screen: broods, what they eat, and the days ahead against the rack."""
