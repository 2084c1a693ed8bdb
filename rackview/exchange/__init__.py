"""Tables in and out: CSV, XLSX, ODS."""
