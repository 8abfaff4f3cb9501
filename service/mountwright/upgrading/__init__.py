"""In which order to spend the money: what may be changed, the exact plan, and how sure its order is."""
