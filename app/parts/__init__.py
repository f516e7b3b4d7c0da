"""Parts: the catalogue and its suppliers, the stock ledger, purchase orders, labels, counts, lists."""
