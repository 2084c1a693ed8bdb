"""Every sentence of the advice: suggestions, flags, evidence, plans, records, cautions."""
