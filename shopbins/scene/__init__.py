"""Shop and ledger joined into the scene the kernel can judge."""
