"""Labels for parts and offcuts on ordinary label paper."""
