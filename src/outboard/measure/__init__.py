"""What a meter should read on a design that is built."""
