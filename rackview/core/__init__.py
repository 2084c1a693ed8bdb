"""The rack as plain frozen data: vessels, events, profiles, ids, moments. No Qt, no disk, no third party."""
