"""Boxes for wet hands: a field to type into or choose in, the words around it, and groups of fields."""
