"""Counting with the eyes at the microscope: one key an animal."""
