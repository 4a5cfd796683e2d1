"""Find part groups by any words while they are typed."""
