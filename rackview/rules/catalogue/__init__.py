"""Every rule and every threshold that a keeper may change, with its source: tables, nothing reckoned."""
