"""One dossier, several readers: words for the terminal, JSON for programs."""
