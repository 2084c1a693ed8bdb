"""One SQLite file that loses nothing."""

from rackview.store.assemble import rack_of_tables
from rackview.store.errors import StoreError
from rackview.store.reader import Written
from rackview.store.rows import TableRow
from rackview.store.store import Store

__all__ = ["Store", "StoreError", "TableRow", "Written", "rack_of_tables"]
