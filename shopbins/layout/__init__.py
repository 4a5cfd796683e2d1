"""Shop and ledger joined into the scene the floor kernel can judge."""
