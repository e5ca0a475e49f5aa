"""The report as a document: a tree of sections built from a dossier, written as typst, compiled to PDF and HTML."""
