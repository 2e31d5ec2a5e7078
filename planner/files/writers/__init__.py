"""Writers: one module for each kind of file that goes out."""
