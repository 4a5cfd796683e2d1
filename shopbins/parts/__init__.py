"""Groups, machines and the ledger that keeps them."""
