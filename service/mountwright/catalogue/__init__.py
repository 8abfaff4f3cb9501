"""What the shop knows, kept in a database: skates, parts, families, evidence, keys, imports."""
