"""What if: both futures of the rack for what the keeper types."""
