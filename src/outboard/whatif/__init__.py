"""What becomes of a design when something in it is otherwise: edits of its parts, and what follows from them."""
